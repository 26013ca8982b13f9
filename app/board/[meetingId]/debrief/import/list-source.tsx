'use client'
import { useState } from 'react'
import { DropZone, type FileDropItem } from 'react-aria-components'
import { MAX_FILE_BYTES } from '@/lib/tables'
import { Button, FormField, PickFile, Ticket, TicketBody, TicketHead } from '@/app/ui'
import type { ListSource } from './use-list-import'

const TYPES = ['.csv', '.tsv', '.txt', 'text/csv', 'text/tab-separated-values', 'text/plain']

/** A list to paste, or a file to drop or pick. */
export function ListSourceTicket({ onTake }: { onTake: (source: ListSource) => void }) {
  const [pasted, setPasted] = useState('')
  const takeText = (text: string) => onTake({ name: 'Pasted list', bytes: new TextEncoder().encode(text) })
  const takeFile = async (file: File) => {
    // A little more than may be: the reader says that it is too much, without all of a video in memory.
    const bytes = await file.slice(0, MAX_FILE_BYTES + 1).arrayBuffer()
    onTake({ name: file.name, bytes: new Uint8Array(bytes) })
  }
  return (
    <Ticket>
      <TicketHead
        level={1}
        title="Paste results or laps"
        sub="A heat or a whole round: CSV, tab-separated, or text in columns. A corrected list later changes results and nothing else"
      />
      <TicketBody>
        <FormField
          label="List as text"
          hint="Include the header line. Results with laps and time, or lap times by car."
          multiline
          value={pasted}
          onChange={setPasted}
        />
        <div className="btn-row">
          <Button look="do" isDisabled={pasted.trim() === ''} onPress={() => takeText(pasted)}>
            Read the list
          </Button>
        </div>
        <DropZone
          className="drop-zone"
          aria-label="Drop a result list or lap list here"
          getDropOperation={() => 'copy'}
          onDrop={(e) => {
            const file = e.items.find((i): i is FileDropItem => i.kind === 'file')
            const text = e.items.find((i) => i.kind === 'text')
            if (file) void file.getFile().then(takeFile)
            else void text?.getText('text/plain').then(takeText)
          }}
        >
          <p>Drop a file here, or</p>
          <PickFile types={TYPES} onPick={(file) => void takeFile(file)}>
            Pick a file
          </PickFile>
        </DropZone>
      </TicketBody>
    </Ticket>
  )
}
