'use client'
import { useState } from 'react'
import { Button as AriaButton, FieldError, Group, Input, Label, TextField } from 'react-aria-components'
import type { Refusal } from '@/lib/core/result'
import { parseNumber, stepNumber, tidy, type NumberRange } from '@/lib/core/parse-number'
import { RefusalText } from '@/app/ui'

export interface QuickNumberProps extends NumberRange {
  label: string
  value: number | null
  /** Told once per tap, and once a typed number is left: half a number is nobody's reading. */
  onCommit: (value: number | null) => void
  /** Readings to choose from with one tap, near the one to be expected. */
  near?: readonly number[]
  /** Where the steps begin when nothing is entered. */
  start?: number
  step: number
  isDisabled?: boolean
}

/** A reading for a thumb: likely figures to tap, steps, and a field for whoever would rather type. */
export function QuickNumber(props: QuickNumberProps) {
  const { label, value, onCommit, near = [], start, isDisabled } = props
  const range: NumberRange = { min: props.min, max: props.max, step: props.step, unit: props.unit }
  const [text, setText] = useState<string | null>(null)
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const commit = (next: number | null) => {
    setText(null)
    setRefusal(null)
    if (next !== value) onCommit(next)
  }
  const leave = () => {
    if (text === null) return
    const parsed = parseNumber(label, text, { ...range, step: undefined })
    if (parsed.ok) commit(parsed.value)
    else setRefusal(parsed.error)
  }
  const by = (direction: 1 | -1) =>
    commit(value === null && start !== undefined ? start : stepNumber(value, direction, range))
  return (
    <TextField
      className="field quick"
      value={text ?? (value === null ? '' : tidy(value))}
      onChange={setText}
      isDisabled={isDisabled}
      isInvalid={!!refusal}
      validationBehavior="aria"
      inputMode="decimal"
      autoComplete="off"
    >
      <Label className="field-label">{label}</Label>
      {near.length > 0 && (
        <Group className="choices" aria-label={`${label}, likely readings`}>
          {near.map((n) => (
            <AriaButton
              key={n}
              className="choice num"
              data-chosen={n === value || undefined}
              aria-label={`${label} ${tidy(n)}${props.unit ? ` ${props.unit}` : ''}`}
              isDisabled={isDisabled}
              onPress={() => commit(n)}
            >
              {tidy(n)}
            </AriaButton>
          ))}
        </Group>
      )}
      <Group className="input-with-unit stepper">
        <AriaButton
          className="btn"
          data-repeat=""
          aria-label={`${label}, one step down`}
          isDisabled={isDisabled}
          onPress={() => by(-1)}
        >
          −
        </AriaButton>
        <Input
          className="input"
          onBlur={leave}
          onKeyDown={(e) => {
            if (e.key !== 'Enter') return
            e.preventDefault()
            leave()
          }}
        />
        {props.unit && <span className="input-unit">{props.unit}</span>}
        <AriaButton
          className="btn"
          data-repeat=""
          aria-label={`${label}, one step up`}
          isDisabled={isDisabled}
          onPress={() => by(1)}
        >
          +
        </AriaButton>
      </Group>
      <FieldError className="refusal">{refusal && <RefusalText refusal={refusal} />}</FieldError>
    </TextField>
  )
}
