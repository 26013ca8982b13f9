'use client'
import { useState } from 'react'
import { checkSetting, type CardParameter, type Setting } from '@/lib/board'
import { FormField, NumberEntry } from '@/app/ui'

export interface SettingEntryProps {
  parameter: CardParameter
  label: string
  value: Setting | null
  onChange: (value: Setting | null) => void
  /** Told whether what stands in the field is a value that the parameter can take. */
  onFits: (fits: boolean) => void
  onEnter?: (() => void) | undefined
  autoFocus?: boolean
}

/** A card value being entered: a number with its range and step, or text. What does not fit is explained under the field. */
export function SettingEntry({
  parameter: p,
  label,
  value,
  onChange,
  onFits,
  onEnter,
  autoFocus,
}: SettingEntryProps) {
  const [offered, setOffered] = useState<Setting | null>(value)
  const check = offered === null ? null : checkSetting(p, offered)
  const take = (next: Setting | null) => {
    setOffered(next)
    const fits = next !== null && checkSetting(p, next).ok
    onFits(fits)
    onChange(next)
  }
  return p.kind === 'number' ? (
    <NumberEntry
      label={label}
      value={typeof value === 'number' ? value : null}
      onChange={take}
      onFits={onFits}
      min={p.min}
      max={p.max}
      step={p.step}
      unit={p.unit}
      stepper
      autoFocus={autoFocus}
      onEnter={onEnter}
      refusal={check && !check.ok ? check.error : null}
    />
  ) : (
    <FormField
      label={label}
      value={typeof value === 'string' ? value : ''}
      onChange={(v) => take(v || null)}
      maxLength={120}
      autoFocus={autoFocus}
      onEnter={onEnter}
      refusal={check && !check.ok ? check.error : null}
    />
  )
}
