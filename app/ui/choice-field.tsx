'use client'
import { useId, type ReactNode } from 'react'
import type { Option } from './select-field'

export interface ChoiceFieldProps {
  label: string
  options: readonly Option[]
  value: string | null
  onChange: (id: string) => void
  hint?: string
  isDisabled?: boolean
  hideLabel?: boolean
}

/** A few choices, all in sight, one tap each. For more than about six use `SelectField`. */
export function ChoiceField({
  label,
  options,
  value,
  onChange,
  hint,
  isDisabled,
  hideLabel,
}: ChoiceFieldProps) {
  const id = useId()
  return (
    <div
      role="radiogroup"
      className="field"
      aria-labelledby={id}
      aria-describedby={hint ? `${id}hint` : undefined}
      aria-disabled={isDisabled || undefined}
    >
      <span id={id} className={hideLabel ? 'visually-hidden' : 'field-label'}>
        {label}
      </span>
      {hint && (
        <span id={`${id}hint`} className="field-hint">
          {hint}
        </span>
      )}
      <div className="choices">
        {options.map((o) => (
          <Choice
            key={o.id}
            name={id}
            isSelected={o.id === value}
            isDisabled={isDisabled === true || o.isDisabled === true}
            onChoose={() => onChange(o.id)}
          >
            {o.label}
            {o.detail && <span className="text-sm"> {o.detail}</span>}
          </Choice>
        ))}
      </div>
    </div>
  )
}

export interface ChoiceProps {
  /** Of the group: arrow keys walk through all of one name. */
  name: string
  isSelected: boolean
  onChoose: () => void
  isDisabled?: boolean
  /** One below the other, each as wide as the page. */
  asRow?: boolean
  children: ReactNode
}

/** One of several, as the browser's own radio button with a face of ours. */
export function Choice({
  name,
  isSelected,
  onChoose,
  isDisabled = false,
  asRow = false,
  children,
}: ChoiceProps) {
  return (
    <label
      className={asRow ? 'choice choice-row' : 'choice'}
      data-selected={isSelected ? '' : undefined}
      data-disabled={isDisabled ? '' : undefined}
    >
      <input
        type="radio"
        className="visually-hidden"
        name={name}
        checked={isSelected}
        disabled={isDisabled}
        onChange={onChoose}
      />
      {children}
    </label>
  )
}

export interface TickProps {
  isSelected: boolean
  onChange: (selected: boolean) => void
  isDisabled?: boolean
  children: ReactNode
  detail?: ReactNode
}

/** A box to tick, with room for who and when. The whole row is the target. */
export function Tick({ isSelected, onChange, isDisabled, children, detail }: TickProps) {
  return (
    <label
      className="tick"
      data-selected={isSelected ? '' : undefined}
      data-disabled={isDisabled ? '' : undefined}
    >
      <input
        type="checkbox"
        className="visually-hidden"
        checked={isSelected}
        disabled={isDisabled}
        onChange={(e) => onChange(e.target.checked)}
      />
      <span className="tick-box" aria-hidden="true">
        {isSelected && (
          <svg width="16" height="16" viewBox="0 0 16 16">
            <path d="M2 8.5l4 4 8-9" fill="none" stroke="var(--sheet)" strokeWidth="3" />
          </svg>
        )}
      </span>
      <span className="min-w-0">
        {children}
        {detail && <span className="small block">{detail}</span>}
      </span>
    </label>
  )
}
