'use client'
import { useBoard, useEditContext, useSettle } from '@/app/sync'
import { useState } from 'react'
import { canWrite, NEXT_STEPS, sayHowItRan } from '@/lib/board'
import { FEEL_WORDS, NEXT_WORDS } from '@/app/words/debrief-words'
import { Button, ChoiceField, FormField } from '@/app/ui'
import { ByLine } from './by-line'
import type { PartProps } from './part-props'
import { WhereQuestion } from './where-question'

const FEELS = [5, 4, 3, 2, 1]

/** Three questions for a thumb: how was it, where, what next. Each answer is saved with its tap. */
export function DriverQuestions({ run }: PartProps) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const now = view.runs.get(run.runId)
  const may = canWrite(ctx, 'meeting', 'runs', run.runId, 'feel')
  const say = (t: Omit<Parameters<typeof sayHowItRan>[2], 'runId'>) =>
    void settle(sayHowItRan(ctx, view, { runId: run.runId, ...t }))
  return (
    <div className="ticket-body questions">
      <ChoiceField
        label="How was it?"
        options={FEELS.map((n) => ({ id: String(n), label: FEEL_WORDS[n] ?? '' }))}
        value={now?.feel?.v ? String(now.feel.v) : null}
        isDisabled={!may}
        onChange={(id) => say({ feel: Number(id) })}
      />
      <WhereQuestion run={run} />
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
      <OwnWords run={run} may={may} />
      <ByLine runId={run.runId} fields={['feel', 'whatNext', 'driverWords']} />
    </div>
  )
}

/** A free line; dictation is the phone's own. */
function OwnWords({ run, may }: PartProps & { may: boolean }) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const saved = view.runs.get(run.runId)?.driverWords?.v ?? ''
  const [draft, setDraft] = useState<string | null>(null)
  if (!may) return saved ? <p>“{saved}”</p> : null
  const text = draft ?? saved
  const save = () => {
    const done = sayHowItRan(ctx, view, { runId: run.runId, words: text })
    if (settle(done, 'Your words are saved')) setDraft(null)
  }
  return (
    <div className="grid gap-2">
      <FormField label="In your own words" value={text} onChange={setDraft} multiline maxLength={2000} />
      {draft !== null && draft.trim() !== saved && <Button onPress={save}>Save your words</Button>}
    </div>
  )
}
