'use client'
import { useEffect, useId, useRef, type ReactNode } from 'react'
import type { Refusal } from '@/lib/core/result'
import { RefusalText } from './panels'

export interface FormFieldProps {
  label: string
  value: string
  onChange: (value: string) => void
  hint?: ReactNode
  refusal?: Refusal | null
  isDisabled?: boolean
  isRequired?: boolean
  multiline?: boolean
  /** Times of day have a field of their own: `TimeField`. */
  type?: 'text' | 'date' | 'search'
  placeholder?: string
  autoComplete?: string
  autoFocus?: boolean
  inputMode?: 'text' | 'numeric' | 'decimal'
  maxLength?: number
  name?: string
  onEnter?: () => void
}

/** A labelled text field. A refusal stands under it, naming field, value, reason and remedy, and is read out. */
export function FormField({
  label,
  value,
  onChange,
  hint,
  refusal,
  multiline,
  onEnter,
  ...rest
}: FormFieldProps) {
  const {
    isDisabled,
    isRequired,
    autoFocus,
    type = 'text',
    name,
    autoComplete,
    inputMode,
    maxLength,
    placeholder,
  } = rest
  const id = useId()
  const input = useRef<HTMLInputElement & HTMLTextAreaElement>(null)
  // React's own attribute does nothing where the server has rendered the field already.
  const focusAtOnce = autoFocus === true
  useEffect(() => {
    if (focusAtOnce) input.current?.focus()
  }, [focusAtOnce])
  const about = [hint ? `${id}hint` : '', refusal ? `${id}refusal` : ''].filter(Boolean).join(' ')
  const shared = {
    ref: input,
    id,
    className: 'input',
    value,
    placeholder,
    name,
    maxLength,
    inputMode,
    disabled: isDisabled,
    autoComplete: autoComplete ?? 'off',
    'aria-required': isRequired || undefined,
    'aria-invalid': refusal ? true : undefined,
    'aria-describedby': about || undefined,
  }
  return (
    <div className="field" data-refused={refusal ? '' : undefined}>
      <label htmlFor={id} className="field-label">
        {label}
      </label>
      {hint && (
        <span id={`${id}hint`} className="field-hint">
          {hint}
        </span>
      )}
      {multiline ? (
        <textarea {...shared} onChange={(e) => onChange(e.target.value)} />
      ) : (
        <input
          {...shared}
          type={type}
          onChange={(e) => onChange(e.target.value)}
          onKeyDown={(e) => {
            if (e.key === 'Enter' && onEnter) {
              e.preventDefault()
              onEnter()
            }
          }}
        />
      )}
      {refusal && (
        <span id={`${id}refusal`} className="refusal">
          <RefusalText refusal={refusal} />
        </span>
      )}
    </div>
  )
}

/** A label, hint and refusal around a control that brings its own input. */
export function FieldFrame({
  label,
  hint,
  refusal,
  children,
}: {
  label: string
  hint?: ReactNode
  refusal?: Refusal | null
  children: ReactNode
}) {
  const id = useId()
  return (
    <div className="field" role="group" aria-labelledby={id} data-refused={refusal ? '' : undefined}>
      <span id={id} className="field-label">
        {label}
      </span>
      {hint && <span className="field-hint">{hint}</span>}
      {children}
      {refusal && (
        <div className="refusal" role="alert">
          <RefusalText refusal={refusal} />
        </div>
      )}
    </div>
  )
}
