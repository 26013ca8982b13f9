'use client'
import { useBoard, useEditContext, useSettle, useNameOf, useNow, SavedMark } from '@/app/sync'
import { useState } from 'react'
import { addNote, canWrite } from '@/lib/board'
import { Button, FormField, Ticket, TicketHead, whenText } from '@/app/ui'

/** Notes on the car, newest first. */
export function CardNotes({ carId }: { carId: string }) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const nameOf = useNameOf()
  const now = useNow(10_000)
  const [text, setText] = useState('')
  const about = `car:${carId}`
  const notes = view.notes.live
    .filter((n) => n.about === about && n.text?.v)
    .sort((a, b) => (b.text?.at ?? 0) - (a.text?.at ?? 0))
  const may = canWrite(ctx, 'meeting', 'notes', 'new', 'text')
  const save = () => {
    if (text.trim() && settle(addNote(ctx, { about, text }), 'Note added')) setText('')
  }
  return (
    <Ticket id="notes" label="Notes">
      <TicketHead title="Notes" />
      <ul className="ruled">
        {notes.map((n) => (
          <li key={n.id} className="ticket-body">
            <p className="whitespace-pre-wrap">{n.text?.v}</p>
            <span className="small">
              {nameOf(n.text?.by)}, {whenText(n.text?.at ?? 0, now)}{' '}
              <SavedMark doc="meeting" collection="notes" recordId={n.id} field="text" />
            </span>
          </li>
        ))}
      </ul>
      {may && (
        <div className="ticket-body no-print">
          <FormField label="New note" value={text} onChange={setText} multiline maxLength={2000} />
          <Button isDisabled={!text.trim()} onPress={save}>
            Add the note
          </Button>
        </div>
      )}
    </Ticket>
  )
}
