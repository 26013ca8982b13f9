'use client'
import { useState } from 'react'
import type { Refusal } from '@/lib/core/result'
import { bringListIn, LIST_BYTES, planList, UTF8_MARK, writeList, type ListPlan } from '@/lib/lists'
import { decodeText } from '@/lib/tables'
import { useAct, useBoard, useEditContext } from '@/app/sync'
import {
  Button,
  ChoiceField,
  Link,
  PickFile,
  Refused,
  Ticket,
  TicketBody,
  TicketHead,
  useToasts,
} from '@/app/ui'
import { ListPreview } from './list-preview'
import { namedLists, type NamedList } from './list-names'
import { ListPicker } from './list-picker'
import { saveFile } from './save-file'

/** A list to download, and the edited file to bring back: shown first, then written in one act. */
export function ListsPart() {
  const view = useBoard()
  const ctx = useEditContext()
  const act = useAct()
  const toasts = useToasts()
  const lists = namedLists(view.hasMeeting ? ['meeting', 'kit'] : ['kit'])
  const [id, setId] = useState(view.hasMeeting ? 'meeting.entries' : 'kit.cars')
  const [mark, setMark] = useState<string>('mark')
  const [plan, setPlan] = useState<ListPlan | null>(null)
  const [text, setText] = useState('')
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const list = lists.find((l) => l.id === id) ?? lists[0]

  const read = async (file: File) => {
    if (!list) return
    // A little more than may be: the reader says that it is too much, without all of a video in memory.
    const bytes = new Uint8Array(await file.slice(0, LIST_BYTES + 1).arrayBuffer())
    const decoded = decodeText(bytes, undefined, LIST_BYTES)
    if (!decoded.ok) {
      setPlan(null)
      return setRefusal(decoded.error)
    }
    setText(decoded.value.text)
    look(list, decoded.value.text)
  }
  const look = (at: NamedList, lines: string) => {
    const made = planList(ctx, at.doc, at.collection, lines)
    setPlan(made.ok ? made.value : null)
    setRefusal(made.ok ? null : made.error)
  }
  const forget = () => {
    setPlan(null)
    setText('')
    setRefusal(null)
  }
  if (!list) return null
  return (
    <Ticket>
      <TicketHead
        title="Lists"
        sub="CSV for a spreadsheet. Edit it and import it: you see what would change first"
      />
      <TicketBody>
        <ListPicker
          lists={lists}
          value={list.id}
          onChange={(next) => {
            setId(next)
            forget()
          }}
        />
        <ChoiceField
          label="Saved as"
          options={[
            { id: 'mark', label: 'UTF-8 with mark', detail: 'most spreadsheets' },
            { id: 'plain', label: 'UTF-8', detail: 'other programs' },
          ]}
          value={mark}
          onChange={setMark}
        />
        <div className="btn-row">
          <Button
            look="do"
            onPress={() => {
              const csv = writeList(ctx.docs, list.doc, list.collection)
              saveFile(
                `${list.collection}.csv`,
                (mark === 'mark' ? UTF8_MARK : '') + csv,
                'text/csv;charset=utf-8',
              )
              toasts.say(`${list.label} downloaded`)
            }}
          >
            Download the list
          </Button>
          <PickFile
            types={['.csv', '.tsv', '.txt', 'text/csv', 'text/plain']}
            onPick={(file) => void read(file)}
          >
            Import a list
          </PickFile>
        </div>
        <p className="small">
          Rows are known by the id in the first column: keep it, or leave it empty for a new row. Rows that
          you leave out stay on the board. <Link href="/files/columns">What each column means</Link>
        </p>
      </TicketBody>
      {refusal && <Refused refusal={refusal} level={2} />}
      {plan && (
        <ListPreview
          plan={plan}
          onDrop={forget}
          onWrite={() => {
            const many = plan.changes.length === 1 ? '1 value' : `${plan.changes.length} values`
            if (act((c) => bringListIn(c, plan), `${list.label}: ${many} written`).ok) forget()
            // Somebody was quicker: what it would change now.
            else look(list, text)
          }}
        />
      )}
    </Ticket>
  )
}
