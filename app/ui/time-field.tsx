'use client'
import { useState } from 'react'
import { readClock } from '@/lib/core/read-clock'
import type { Refusal } from '@/lib/core/result'
import { FormField, type FormFieldProps } from './form-field'

export interface TimeFieldProps extends Pick<FormFieldProps, 'label' | 'hint' | 'isDisabled' | 'onEnter'> {
  /** `09:05`, or empty; anything else is what was typed and is no time. */
  value: string
  onChange: (value: string) => void
  refusal?: Refusal | null
}

/**
 * A time of day in 24 hours, whatever the device's language: a browser's own time field would ask for AM and PM on some. Takes `9:05`, `905` and
 * `21:05`; written out as `09:05` when it is left.
 */
export function TimeField({ label, value, onChange, refusal, onEnter, ...rest }: TimeFieldProps) {
  const [draft, setDraft] = useState<string | null>(null)
  const text = draft ?? value
  const isRead = text === '' || readClock(text) !== null
  const type = (next: string) => {
    setDraft(next)
    onChange(next === '' ? '' : (readClock(next) ?? next))
  }
  return (
    <div
      className="contents"
      onBlur={() => {
        // What is no time stays, with its refusal.
        if (isRead) setDraft(null)
      }}
    >
      <FormField
        label={label}
        value={text}
        onChange={type}
        onEnter={onEnter}
        inputMode="text"
        placeholder="14:20"
        maxLength={12}
        refusal={
          refusal ??
          (isRead || (draft !== null && draft.length < 3)
            ? null
            : {
                field: label,
                value: text,
                reason: 'is not a time of day',
                remedy: 'Enter it as 9:05, 905 or 21:05.',
              })
        }
        {...rest}
      />
    </div>
  )
}
