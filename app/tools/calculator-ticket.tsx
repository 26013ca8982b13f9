'use client'
import { useState } from 'react'
import {
  Button,
  Caution,
  Figure,
  Figures,
  Note,
  NumberEntry,
  RefusalText,
  Ticket,
  TicketBody,
  TicketHead,
} from '../ui'
import { answerOf, type Calculator } from './calculator'

/** One calculator: its numbers, its answer as they are typed, and its worked example. */
export function CalculatorTicket({ calculator: c }: { calculator: Calculator }) {
  const example = Object.fromEntries(c.inputs.map((i) => [i.id, i.example]))
  const [values, setValues] = useState<Readonly<Record<string, number | null>>>(example)
  const [unfit, setUnfit] = useState<ReadonlySet<string>>(new Set())
  const answer = answerOf(c, values)
  const isExample = c.inputs.every((i) => values[i.id] === i.example)
  const stale = unfit.size > 0
  return (
    <Ticket as="article" id={c.id} label={c.title}>
      <TicketHead title={c.title} sub={c.about} />
      <div className="tool-fields">
        {c.inputs.map((i) => (
          <NumberEntry
            key={i.id}
            label={i.label}
            value={values[i.id] ?? null}
            onChange={(v) => setValues((all) => ({ ...all, [i.id]: v }))}
            onFits={(fits) =>
              setUnfit((all) => {
                const next = new Set(all)
                if (fits) next.delete(i.id)
                else next.add(i.id)
                return next
              })
            }
            min={i.min}
            max={i.max}
            step={i.step}
            unit={i.unit || undefined}
            hint={`${i.min} to ${i.max}`}
          />
        ))}
      </div>
      {stale && <Note tone="hot">The answer below is of the last numbers that could be.</Note>}
      <div aria-live="polite" data-stale={stale ? '' : undefined} className="tool-answer">
        {answer.kind === 'results' && (
          <Figures label={`Answer of ${c.title}`}>
            {answer.results.map((r) => (
              <Figure key={r.id} label={r.label} value={r.value.toFixed(r.digits)} unit={r.unit} />
            ))}
          </Figures>
        )}
        {answer.kind === 'none' && <p className="ticket-body">No answer: {answer.reason}</p>}
        {answer.kind === 'incomplete' && (
          <p className="ticket-body small">Needs {answer.missing.map((m) => m.toLowerCase()).join(', ')}.</p>
        )}
        {answer.kind === 'refused' && (
          <Note tone="hot">
            <RefusalText refusal={answer.refusal} />
          </Note>
        )}
      </div>
      <TicketBody>
        <details className="tool-example">
          <summary>Worked example</summary>
          <p>{c.example.text}</p>
          <p className="small">{c.example.source}</p>
          {!isExample && (
            <Button
              onPress={() => {
                setValues(example)
                setUnfit(new Set())
              }}
            >
              Fill the example in
            </Button>
          )}
        </details>
        {c.note && <p className="small">{c.note}</p>}
        {c.caution && <Caution kind={c.caution} />}
      </TicketBody>
    </Ticket>
  )
}
