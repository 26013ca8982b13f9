'use client'
import { useState } from 'react'
import { DropZone, type FileDropItem } from 'react-aria-components'
import { MAX_FILE_BYTES } from '@/lib/tables'
import type { Refusal } from '@/lib/core/result'
import {
  Button,
  FormField,
  PickFile,
  RefusalText,
  Ticket,
  TicketBody,
  TicketHead,
  TicketSection,
} from '@/app/ui'
import type { Source } from './use-import'

/** A file to drop or pick, or a box to paste into. */
export function SourceStep({ onTake, isRepeat }: { onTake: (source: Source) => void; isRepeat: boolean }) {
  const [pasted, setPasted] = useState('')
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const readFile = async (file: File) => {
    setRefusal(null)
    // A video is not read into memory to be told that it is no running order: its size is enough.
    const bytes = new Uint8Array(
      await file
        .slice(0, MAX_FILE_BYTES + 1)
        .arrayBuffer()
        .catch(() => new ArrayBuffer(0)),
    )
    if (file.size > MAX_FILE_BYTES)
      setRefusal({
        field: 'File',
        value: `${file.name}, ${(file.size / 1024 / 1024).toFixed(1)} MB`,
        reason: 'is too large for a running order',
        remedy: `Import a file of up to ${MAX_FILE_BYTES / 1024 / 1024} MB: only the running order, without results or pictures.`,
      })
    else onTake({ name: file.name, bytes, pasted: false })
  }
  const several = (n: number) =>
    setRefusal({
      field: 'File',
      value: `${n} files`,
      reason: 'can’t be imported at once',
      remedy: 'Drop one file. Import the next one after that.',
    })
  return (
    <Ticket>
      <TicketHead
        level={1}
        title="Import a running order"
        sub={
          isRepeat
            ? 'A corrected file keeps what was assigned, signed and stamped. You see the changes before anything happens'
            : 'As the organizer gave it: CSV, tab-separated, or copied from a spreadsheet or web page'
        }
      />
      <TicketBody>
        <DropZone
          className="drop-zone"
          aria-label="Drop a running order file here"
          getDropOperation={(types) => (types.has('Files') || types.has('text/csv') ? 'copy' : 'copy')}
          onDrop={(e) => {
            const files = e.items.filter((i): i is FileDropItem => i.kind === 'file')
            const texts = e.items.filter((i) => i.kind === 'text')
            if (files.length > 1) several(files.length)
            else if (files[0]) void files[0].getFile().then(readFile)
            else void texts[0]?.getText('text/plain').then((t) => onTake(fromText(t)))
          }}
        >
          <p>Drop the file here, or</p>
          <PickFile
            look="do"
            types={['.csv', '.tsv', '.txt', 'text/csv', 'text/tab-separated-values', 'text/plain']}
            onPick={(file) => void readFile(file)}
          >
            Pick a file
          </PickFile>
        </DropZone>
        {refusal && (
          <div className="refusal" role="alert">
            <RefusalText refusal={refusal} />
          </div>
        )}
      </TicketBody>
      <TicketSection title="Or paste it" level={2} />
      <TicketBody>
        <FormField
          label="Running order as text"
          hint="Include the header line. Rows copied from a spreadsheet are fine."
          multiline
          value={pasted}
          onChange={setPasted}
        />
        <div className="btn-row">
          <Button isDisabled={pasted.trim() === ''} onPress={() => onTake(fromText(pasted))}>
            Read the pasted text
          </Button>
        </div>
      </TicketBody>
    </Ticket>
  )
}

const fromText = (text: string): Source => ({
  name: 'Pasted text',
  bytes: new TextEncoder().encode(text),
  pasted: true,
})
