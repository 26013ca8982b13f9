'use client'
import { useId, type ReactNode } from 'react'
import { FieldError, Input, Label, Text, TextArea, TextField } from 'react-aria-components'
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
  return (
    <TextField
      className="field"
      data-refused={refusal ? '' : undefined}
      value={value}
      onChange={onChange}
      isInvalid={!!refusal}
      isDisabled={isDisabled}
      isRequired={isRequired}
      validationBehavior="aria"
      autoFocus={autoFocus}
      type={multiline ? undefined : type}
      name={name}
      autoComplete={autoComplete ?? 'off'}
      inputMode={inputMode}
      maxLength={maxLength}
    >
      <Label className="field-label">{label}</Label>
      {hint && (
        <Text slot="description" className="field-hint">
          {hint}
        </Text>
      )}
      {multiline ? (
        <TextArea className="input" placeholder={placeholder} />
      ) : (
        <Input
          className="input"
          placeholder={placeholder}
          onKeyDown={(e) => {
            if (e.key === 'Enter' && onEnter) {
              e.preventDefault()
              onEnter()
            }
          }}
        />
      )}
      <FieldError className="refusal">{refusal && <RefusalText refusal={refusal} />}</FieldError>
    </TextField>
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
