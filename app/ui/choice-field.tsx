'use client'
import type { ReactNode } from 'react'
import { Checkbox, Label, Radio, RadioGroup, Text } from 'react-aria-components'
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
  return (
    <RadioGroup
      className="field"
      value={value}
      onChange={onChange}
      isDisabled={isDisabled}
      orientation="horizontal"
    >
      <Label className={hideLabel ? 'visually-hidden' : 'field-label'}>{label}</Label>
      {hint && (
        <Text slot="description" className="field-hint">
          {hint}
        </Text>
      )}
      <div className="choices">
        {options.map((o) => (
          <Radio key={o.id} value={o.id} isDisabled={o.isDisabled} className="choice">
            {o.label}
            {o.detail && <span className="text-sm"> {o.detail}</span>}
          </Radio>
        ))}
      </div>
    </RadioGroup>
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
    <Checkbox className="tick" isSelected={isSelected} onChange={onChange} isDisabled={isDisabled}>
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
    </Checkbox>
  )
}
