'use client'
import { useState } from 'react'
import { addNote, canWrite } from '@/lib/board'
import { SavedMark, useBoard, useEditContext, useSettle, useNameOf, useNow } from '@/app/sync'
import { Button, FormField, whenText } from '@/app/ui'
import type { PartProps } from './part-props'

/** A free line on the run, from anybody in the crew. */
export function NotesPart({ run }: PartProps) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const nameOf = useNameOf()
  const now = useNow(10_000)
  const [text, setText] = useState('')
  const about = `run:${run.runId}`
  const notes = view.notes.live
    .filter((n) => n.about === about && n.text?.v)
    .sort((a, b) => (a.text?.at ?? 0) - (b.text?.at ?? 0))
  const may = canWrite(ctx, 'meeting', 'notes', 'new', 'text')
  const save = () => {
    if (text.trim() && settle(addNote(ctx, { about, text }), 'Note added')) setText('')
  }
  return (
    <div className="ticket-body">
      {notes.length === 0 && !may && <p className="small">No notes.</p>}
      {notes.map((n) => (
        <div key={n.id}>
          <p className="whitespace-pre-wrap">{n.text?.v}</p>
          <p className="small">
            {nameOf(n.text?.by)}, {whenText(n.text?.at ?? 0, now)}{' '}
            <SavedMark doc="meeting" collection="notes" recordId={n.id} field="text" />
          </p>
        </div>
      ))}
      {may && (
        <div className="grid gap-2 no-print">
          <FormField label="Note on this run" value={text} onChange={setText} multiline maxLength={2000} />
          <Button isDisabled={!text.trim()} onPress={save}>
            Add the note
          </Button>
        </div>
      )}
    </div>
  )
}
