'use client'
import { useState } from 'react'
import { canWrite, NEXT_STEPS, sayHowItRan } from '@/lib/board'
import { FEEL_WORDS, NEXT_WORDS } from '@/app/words/debrief-words'
import { Button, ChoiceField, FormField } from '@/app/ui'
import { ByLine } from './by-line'
import type { PartProps } from './part-props'
import { WhereQuestion } from './where-question'

const FEELS = [5, 4, 3, 2, 1]

/** Three questions for a thumb: how was it, where, what next. Each answer is saved with its tap. */
export function DriverQuestions({ day, run }: PartProps) {
  const now = day.view.runs.get(run.runId)
  const may = canWrite(day.ctx, 'meeting', 'runs', run.runId, 'feel')
  const say = (t: Omit<Parameters<typeof sayHowItRan>[2], 'runId'>) =>
    void day.settle(sayHowItRan(day.ctx, day.view, { runId: run.runId, ...t }))
  return (
    <div className="ticket-body questions">
      <ChoiceField
        label="How was it?"
        options={FEELS.map((n) => ({ id: String(n), label: FEEL_WORDS[n] ?? '' }))}
        value={now?.feel?.v ? String(now.feel.v) : null}
        isDisabled={!may}
        onChange={(id) => say({ feel: Number(id) })}
      />
      <WhereQuestion day={day} run={run} />
      <ChoiceField
        label="What next?"
        options={NEXT_STEPS.map((id) => ({ id, label: NEXT_WORDS[id] }))}
        value={now?.whatNext?.v ?? null}
        isDisabled={!may}
        onChange={(id) => {
          const next = NEXT_STEPS.find((n) => n === id)
          if (next) say({ next })
        }}
      />
      <OwnWords day={day} run={run} may={may} />
      <ByLine day={day} runId={run.runId} fields={['feel', 'whatNext', 'driverWords']} />
    </div>
  )
}

/** A free line; dictation is the phone's own. */
function OwnWords({ day, run, may }: PartProps & { may: boolean }) {
  const saved = day.view.runs.get(run.runId)?.driverWords?.v ?? ''
  const [draft, setDraft] = useState<string | null>(null)
  if (!may) return saved ? <p>“{saved}”</p> : null
  const text = draft ?? saved
  const save = () => {
    const done = sayHowItRan(day.ctx, day.view, { runId: run.runId, words: text })
    if (day.settle(done, 'Your words are saved')) setDraft(null)
  }
  return (
    <div className="grid gap-2">
      <FormField label="In your own words" value={text} onChange={setDraft} multiline maxLength={2000} />
      {draft !== null && draft.trim() !== saved && <Button onPress={save}>Save your words</Button>}
    </div>
  )
}
