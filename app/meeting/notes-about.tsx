'use client'
import { useState } from 'react'
import { addNote, canWrite } from '@/lib/board'
import { SavedMark, useBoard, useEditContext, useNameOf, useNow, useSettle } from '@/app/sync'
import { Button, FormField, whenText } from '@/app/ui'

/** Free lines on a car or a run, newest first, and room for another. `about`: `car:<id>`, `run:<id>`. */
export function NotesAbout({ about, label }: { about: string; label: string }) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const nameOf = useNameOf()
  const now = useNow(10_000)
  const [text, setText] = useState('')
  const notes = view.notes.live
    .filter((n) => n.about === about && n.text?.v)
    .sort((a, b) => (b.text?.at ?? 0) - (a.text?.at ?? 0))
  const may = canWrite(ctx, 'meeting', 'notes', 'new', 'text')
  const save = () => {
    if (text.trim() && settle(addNote(ctx, { about, text }), 'Note added')) setText('')
  }
  return (
    <>
      {notes.length === 0 && !may && <p className="ticket-body small">No notes.</p>}
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
          <FormField label={label} value={text} onChange={setText} multiline maxLength={2000} />
          <Button isDisabled={!text.trim()} onPress={save}>
            Add the note
          </Button>
        </div>
      )}
    </>
  )
}
