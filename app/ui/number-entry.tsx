'use client'
import { useState } from 'react'
import { Button, FieldError, Group, Input, Label, Text, TextField } from 'react-aria-components'
import type { Refusal } from '@/lib/core/result'
import { RefusalText } from './panels'
import { parseNumber, rangeHintText, stepNumber, tidy, type NumberRange } from '@/lib/core/parse-number'

export interface NumberEntryProps extends NumberRange {
  label: string
  value: number | null
  /** Called with each number that fits; null when the field was emptied. Text that does not fit is kept in the field and explained. */
  onChange: (value: number | null) => void
  /** Told after each keystroke whether the text is a number that fits: `value` stays the last good one while it is not. */
  onFits?: (fits: boolean) => void
  hint?: string
  refusal?: Refusal | null
  isDisabled?: boolean
  isRequired?: boolean
  /** Minus and plus buttons beside the field; needs `step`. */
  stepper?: boolean
  autoFocus?: boolean
  onEnter?: () => void
}

/** A number with its unit, range and step. Arrow keys step, comma and point both are decimals. */
export function NumberEntry(props: NumberEntryProps) {
  const {
    label,
    value,
    onChange,
    onFits,
    hint,
    refusal,
    isDisabled,
    isRequired,
    stepper = false,
    autoFocus,
    onEnter,
  } = props
  const range: NumberRange = { min: props.min, max: props.max, step: props.step, unit: props.unit }
  const [draft, setDraft] = useState<{ text: string; value: number | null } | null>(null)
  const [own, setOwn] = useState<Refusal | null>(null)
  // The text being typed stands until the value changes from elsewhere.
  const text = draft && draft.value === value ? draft.text : value === null ? '' : tidy(value)

  const take = (next: string) => {
    const parsed = parseNumber(label, next, range)
    setOwn(parsed.ok ? null : parsed.error)
    setDraft({ text: next, value: parsed.ok ? parsed.value : value })
    if (parsed.ok && parsed.value !== value) onChange(parsed.value)
    onFits?.(parsed.ok)
  }
  const by = (direction: 1 | -1) => {
    const next = stepNumber(value, direction, range)
    setDraft(null)
    setOwn(null)
    if (next !== value) onChange(next)
    onFits?.(true)
  }
  const shown = own ?? refusal ?? null
  const rangeHint = rangeHintText(range)
  return (
    <TextField
      className="field"
      data-refused={shown ? '' : undefined}
      value={text}
      onChange={take}
      isInvalid={!!shown}
      isDisabled={isDisabled}
      isRequired={isRequired}
      validationBehavior="aria"
      autoFocus={autoFocus}
      inputMode="decimal"
      autoComplete="off"
    >
      <Label className="field-label">{label}</Label>
      {(hint ?? rangeHint) && (
        <Text slot="description" className="field-hint">
          {hint ?? rangeHint}
        </Text>
      )}
      <Group className={stepper ? 'input-with-unit stepper' : 'input-with-unit'}>
        {stepper && (
          <Button
            className="btn"
            data-repeat=""
            aria-label={`${label}, one step down`}
            isDisabled={isDisabled}
            onPress={() => by(-1)}
          >
            −
          </Button>
        )}
        <Input
          className="input"
          onKeyDown={(e) => {
            if (e.key === 'ArrowUp' || e.key === 'ArrowDown') {
              e.preventDefault()
              by(e.key === 'ArrowUp' ? 1 : -1)
            } else if (e.key === 'Enter' && onEnter) {
              e.preventDefault()
              if (!own) onEnter()
            }
          }}
        />
        {range.unit && <span className="input-unit">{range.unit}</span>}
        {stepper && (
          <Button
            className="btn"
            data-repeat=""
            aria-label={`${label}, one step up`}
            isDisabled={isDisabled}
            onPress={() => by(1)}
          >
            +
          </Button>
        )}
      </Group>
      <FieldError className="refusal">{shown && <RefusalText refusal={shown} />}</FieldError>
    </TextField>
  )
}
