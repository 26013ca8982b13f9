'use client'
import { useState } from 'react'
import { addNote, canWrite } from '@/lib/board'
import { Button, FormField, SavedMark, Ticket, TicketHead, whenText } from '../../../../ui'
import type { RaceDay } from '../../use-race-day'

/** Notes on the car, newest first. */
export function CardNotes({ day, carId }: { day: RaceDay; carId: string }) {
  const [text, setText] = useState('')
  const about = `car:${carId}`
  const notes = day.view.notes.live
    .filter((n) => n.about === about && n.text?.v)
    .sort((a, b) => (b.text?.at ?? 0) - (a.text?.at ?? 0))
  const may = canWrite(day.ctx, 'meeting', 'notes', 'new', 'text')
  const save = () => {
    if (text.trim() && day.settle(addNote(day.ctx, { about, text }), 'Note added')) setText('')
  }
  return (
    <Ticket id="notes" label="Notes">
      <TicketHead title="Notes" />
      <ul className="ruled">
        {notes.map((n) => (
          <li key={n.id} className="ticket-body">
            <p className="whitespace-pre-wrap">{n.text?.v}</p>
            <span className="small">
              {day.nameOf(n.text?.by)}, {whenText(n.text?.at ?? 0, day.now)}{' '}
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
