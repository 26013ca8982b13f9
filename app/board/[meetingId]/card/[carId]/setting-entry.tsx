'use client'
import { useId, useState } from 'react'
import { checkSetting, type CardParameter, type Setting } from '@/lib/board'
import { teamValues } from '@/lib/card'
import { settingText } from '@/lib/core/setting-text'
import { useBoard } from '@/app/sync'
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
  const field =
    p.kind === 'number' ? (
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
  return (
    <>
      {field}
      <TeamValues parameter={p} now={value} onTake={take} />
    </>
  )
}

/** What the team has of it, in one tap each and without a keyboard. */
function TeamValues({
  parameter: p,
  now,
  onTake,
}: {
  parameter: CardParameter
  now: Setting | null
  onTake: (value: Setting) => void
}) {
  const board = useBoard()
  const id = useId()
  // As they stood when the sheet opened: a list that moved under the finger would be worse than one that is a minute old.
  const [values] = useState(() => teamValues(board, p, now))
  if (values.length === 0) return null
  return (
    <div className="field" role="group" aria-labelledby={id}>
      <span id={id} className="field-label">
        On the team’s cars
      </span>
      <div className="choices">
        {values.map((v) => (
          <button
            key={String(v)}
            type="button"
            className="choice num"
            aria-pressed={v === now}
            data-selected={v === now ? '' : undefined}
            onClick={() => onTake(v)}
          >
            {settingText(v, p.unit)}
          </button>
        ))}
      </div>
    </div>
  )
}
