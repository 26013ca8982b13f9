'use client'
import { useState } from 'react'
import { figureText } from '@/lib/core/figure-text'
import { inSpeedUnit, speedDigits } from '@/lib/core/speed-unit'
import { Button, Caution, Figure, Figures, NumberEntry, RefusalText, useSpeedUnit } from '@/app/ui'
import { answerOf, type CalcAnswer, type Calculator, type CalcValues } from './calculator'
import { ToolFrame } from './tool-frame'
import { useUnfit } from './use-unfit'

/** One calculator: its numbers, its answer as they are typed, and its worked example. */
export function CalculatorTicket({ calculator: c }: { calculator: Calculator }) {
  const example: CalcValues = Object.fromEntries(c.inputs.map((i) => [i.id, i.example]))
  const [values, setValues] = useState(example)
  // The last numbers that had an answer or a reason why there is none: they stand while what is typed is nonsense.
  const [good, setGood] = useState(example)
  // Filling the example in also throws away text that was never a number.
  const [filled, setFilled] = useState(0)
  const unfit = useUnfit()
  const asked = answerOf(c, values)
  const isStale = unfit.any || asked.kind === 'refused' || asked.kind === 'incomplete'
  const isExample = !unfit.any && c.inputs.every((i) => values[i.id] === i.example)
  const change = (id: string, value: number | null) => {
    const next = { ...values, [id]: value }
    setValues(next)
    const { kind } = answerOf(c, next)
    if (kind === 'results' || kind === 'none') setGood(next)
  }
  const fillIn = () => {
    setValues(example)
    setGood(example)
    unfit.clear()
    setFilled((n) => n + 1)
  }
  return (
    <ToolFrame
      id={c.id}
      title={c.title}
      about={c.about}
      isStale={isStale}
      problem={problemOf(asked)}
      fields={c.inputs.map((i) => (
        <NumberEntry
          key={`${i.id} ${filled}`}
          label={i.label}
          value={values[i.id] ?? null}
          onChange={(v) => change(i.id, v)}
          onFits={(fits) => unfit.tell(i.id, fits)}
          min={i.min}
          max={i.max}
          step={i.step}
          unit={i.unit || undefined}
          hint={`${i.min} to ${i.max}${i.isOptional ? ', or empty' : ''}`}
        />
      ))}
      example={
        <>
          <p>{c.example.text}</p>
          <p className="small">{c.example.source}</p>
          {!isExample && <Button onPress={fillIn}>Fill in the example</Button>}
        </>
      }
      after={
        <>
          {c.note && <p className="small">{c.note}</p>}
          {c.caution && <Caution kind={c.caution} />}
        </>
      }
    >
      <Answer of={answerOf(c, good)} title={c.title} />
    </ToolFrame>
  )
}

function problemOf(asked: CalcAnswer) {
  if (asked.kind === 'refused') return <RefusalText refusal={asked.refusal} />
  if (asked.kind === 'incomplete') return `Needs ${asked.missing.map((m) => m.toLowerCase()).join(', ')}.`
  return undefined
}

function Answer({ of: answer, title }: { of: CalcAnswer; title: string }) {
  const speeds = useSpeedUnit()
  if (answer.kind === 'none') return <p className="ticket-body">No answer: {answer.reason}</p>
  if (answer.kind !== 'results') return null
  return (
    <Figures label={`Answer of ${title}`}>
      {answer.results.map((r) => (
        <Figure
          key={r.id}
          label={r.label}
          value={
            typeof r.value === 'string'
              ? r.value
              : figureText(r.unit === 'm/s' ? inSpeedUnit(r.value, speeds) : r.value, {
                  digits: r.unit === 'm/s' ? speedDigits(r.digits, speeds) : r.digits,
                })
          }
          unit={r.unit === 'm/s' ? speeds : r.unit}
        />
      ))}
    </Figures>
  )
}
