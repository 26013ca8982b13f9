'use client'
import { lazy, Suspense, useId } from 'react'
import type { Refusal } from '@/lib/core/result'
import { LATE_WORDS, useIsLate } from './late-part'
import { loadAhead } from './load-ahead'

export interface Option {
  id: string
  label: string
  detail?: string
  isDisabled?: boolean
}

export interface SelectFieldProps {
  label: string
  options: readonly Option[]
  value: string | null
  onChange: (id: string | null) => void
  hint?: string
  /** When given, the list starts with this choice, which means null. */
  none?: string
  placeholder?: string
  refusal?: Refusal | null
  isDisabled?: boolean
  isRequired?: boolean
  /** Keeps the label for screen readers only, for use inside tables. */
  hideLabel?: boolean
}

const selectList = loadAhead(() => import('./select-list'))
const SelectList = lazy(selectList)

/** One of a list. Typing jumps to the option, arrow keys move. */
export function SelectField(props: SelectFieldProps) {
  return (
    <Suspense fallback={<Unready {...props} />}>
      <SelectList {...props} />
    </Suspense>
  )
}

/** The same room and the same words, until it can be opened. */
function Unready({ label, hint, hideLabel, options, value, none, placeholder }: SelectFieldProps) {
  const chosen = options.find((o) => o.id === value)?.label ?? none ?? placeholder ?? 'Choose'
  const isLate = useIsLate(selectList)
  const id = useId()
  return (
    <div className="field">
      <span id={id} className={hideLabel ? 'visually-hidden' : 'field-label'}>
        {label}
      </span>
      {hint && <span className="field-hint">{hint}</span>}
      <button type="button" disabled className="input select-value" aria-labelledby={`${id} ${id}value`}>
        <span id={`${id}value`}>{chosen}</span>
      </button>
      {isLate && (
        <span role="status" className="field-hint">
          {LATE_WORDS}
        </span>
      )}
    </div>
  )
}
