'use client'
import { withUnit } from '@/lib/core/figure-text'
import { useEffect, useId, useRef, useState } from 'react'
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
  /**
   * A reading for a thumb: steps beside the field, and `onChange` is told once per tap, and once a typed number is left: half a number is nobody's reading.
   * What is typed need not be a whole step.
   */
  quick?: boolean
  /** Of a quick one: readings to choose from with one tap, near the one to be expected. */
  near?: readonly number[]
  /** Of a quick one: where the steps begin when nothing is entered. */
  start?: number
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
    quick = false,
    stepper = quick,
    near = [],
    start,
    autoFocus,
    onEnter,
  } = props
  const range: NumberRange = { min: props.min, max: props.max, step: props.step, unit: props.unit }
  const [draft, setDraft] = useState<{ text: string; value: number | null } | null>(null)
  const [own, setOwn] = useState<Refusal | null>(null)
  // The text being typed stands until the value changes from elsewhere; a quick one's until it is left.
  const stands = draft && (quick || draft.value === value)
  const text = stands ? draft.text : value === null ? '' : tidy(value)

  const parse = (typed: string) => parseNumber(label, typed, quick ? { ...range, step: undefined } : range)
  const take = (next: string) => {
    const parsed = parse(next)
    const isTold = parsed.ok && !quick
    setOwn(parsed.ok || quick ? null : parsed.error)
    setDraft({ text: next, value: isTold ? parsed.value : value })
    if (isTold && parsed.value !== value) onChange(parsed.value)
    onFits?.(parsed.ok)
  }
  /** @returns whether what stands there fits. */
  const leave = (): boolean => {
    if (!quick || !draft) return own === null
    const parsed = parse(draft.text)
    if (parsed.ok) put(parsed.value)
    else setOwn(parsed.error)
    return parsed.ok
  }
  const put = (next: number | null) => {
    setDraft(null)
    setOwn(null)
    if (next !== value) onChange(next)
    onFits?.(true)
  }
  const by = (direction: 1 | -1) =>
    put(value === null && start !== undefined ? start : stepNumber(value, direction, range))
  const shown = own ?? refusal ?? null
  const said = hint ?? (quick ? '' : rangeHintText(range))
  const id = useId()
  const input = useRef<HTMLInputElement>(null)
  const focusAtOnce = autoFocus === true
  useEffect(() => {
    if (focusAtOnce) input.current?.focus()
  }, [focusAtOnce])
  const about = [said ? `${id}hint` : '', shown ? `${id}refusal` : ''].filter(Boolean).join(' ')
  return (
    <div className={quick ? 'field quick' : 'field'} data-refused={shown ? '' : undefined}>
      <label htmlFor={id} className="field-label">
        {label}
      </label>
      {said && (
        <span id={`${id}hint`} className="field-hint">
          {said}
        </span>
      )}
      {near.length > 0 && (
        <div role="group" className="choices" aria-label={`${label}, likely readings`}>
          {near.map((n) => (
            <button
              key={n}
              type="button"
              className="choice num"
              data-chosen={n === value ? '' : undefined}
              aria-pressed={n === value}
              aria-label={`${label} ${withUnit(tidy(n), range.unit)}`}
              disabled={isDisabled}
              onClick={() => put(n)}
            >
              {tidy(n)}
            </button>
          ))}
        </div>
      )}
      <div className={stepper ? 'input-with-unit stepper' : 'input-with-unit'}>
        {stepper && (
          <Step label={`${label}, one step down`} isDisabled={isDisabled} onStep={() => by(-1)} sign="−" />
        )}
        <input
          ref={input}
          id={id}
          className="input"
          inputMode="decimal"
          autoComplete="off"
          value={text}
          disabled={isDisabled}
          aria-required={isRequired || undefined}
          aria-invalid={shown ? true : undefined}
          aria-describedby={about || undefined}
          onChange={(e) => take(e.target.value)}
          onBlur={() => void leave()}
          onKeyDown={(e) => {
            if (e.key === 'ArrowUp' || e.key === 'ArrowDown') {
              e.preventDefault()
              by(e.key === 'ArrowUp' ? 1 : -1)
            } else if (e.key === 'Enter' && (quick || onEnter)) {
              e.preventDefault()
              if (leave()) onEnter?.()
            }
          }}
        />
        {range.unit && <span className="input-unit">{range.unit}</span>}
        {stepper && (
          <Step label={`${label}, one step up`} isDisabled={isDisabled} onStep={() => by(1)} sign="+" />
        )}
      </div>
      {shown && (
        <span id={`${id}refusal`} className="refusal">
          <RefusalText refusal={shown} />
        </span>
      )}
    </div>
  )
}

/** May be pressed in quick repetition, unlike any other button. */
function Step({
  label,
  isDisabled,
  onStep,
  sign,
}: {
  label: string
  isDisabled: boolean | undefined
  onStep: () => void
  sign: string
}) {
  return (
    <button
      type="button"
      className="btn"
      data-repeat=""
      aria-label={label}
      disabled={isDisabled}
      onClick={onStep}
    >
      {sign}
    </button>
  )
}
