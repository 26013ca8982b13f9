'use client'
import { NEW_CLASS } from '@/lib/running-order'
import { useBoard } from '@/app/sync'
import { Button, SelectField, TicketSection } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import type { Import } from './use-import'

/** Each class that the file names, and which of the meeting's classes it is. */
export function ClassesStep({ work }: { work: Import }) {
  const view = useBoard()
  const questions = work.understood.plan?.classes ?? []
  if (questions.length === 0) return null
  const open = questions.filter((q) => q.answer === null && q.text !== '')
  const options = view.classes.live.map((c) => ({ id: c.id, label: nameOf(c) }))
  const answer = (key: string, id: string | null) => {
    const rest = Object.fromEntries(Object.entries(work.choices.classes).filter(([k]) => k !== key))
    work.choose({ classes: id === null ? rest : { ...rest, [key]: id } })
  }
  return (
    <>
      <TicketSection title="Classes" level={2} />
      <div className="form-grid">
        {questions.map((q) => (
          <SelectField
            key={q.key}
            label={q.text || 'Rows without a class'}
            hint={`${q.heats} ${q.heats === 1 ? 'heat' : 'heats'}, first on line ${q.firstLine}${q.guessed ? '; matched by name' : ''}`}
            options={[
              ...(q.text ? [{ id: NEW_CLASS, label: `Add “${q.text}” as a class` }] : []),
              ...options,
            ]}
            value={q.answer}
            placeholder="Choose its class"
            onChange={(id) => answer(q.key, id)}
          />
        ))}
        {open.length > 1 && (
          <div className="btn-row self-end">
            <Button
              onPress={() =>
                work.choose({
                  classes: {
                    ...work.choices.classes,
                    ...Object.fromEntries(open.map((q) => [q.key, NEW_CLASS])),
                  },
                })
              }
            >
              Add all {open.length} as classes
            </Button>
          </div>
        )}
      </div>
    </>
  )
}
