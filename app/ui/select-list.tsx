'use client'
import {
  Button,
  FieldError,
  Label,
  ListBox,
  ListBoxItem,
  Popover,
  Select,
  SelectValue,
  Text,
  type Key,
} from 'react-aria-components'
import { AriaRoot } from './aria-root'
import { RefusalText } from './panels'

import type { Option, SelectFieldProps } from './select-field'

const NONE = '–none–'

/** What `SelectField` is once the component library is there. */
export default function SelectList(props: SelectFieldProps) {
  const {
    label,
    options,
    value,
    onChange,
    hint,
    none,
    placeholder,
    refusal,
    isDisabled,
    isRequired,
    hideLabel,
  } = props
  const items = none === undefined ? options : [{ id: NONE, label: none } as Option, ...options]
  return (
    <AriaRoot>
      <Select
        className="field"
        data-refused={refusal ? '' : undefined}
        value={value ?? (none === undefined ? null : NONE)}
        onChange={(key: Key | null) => onChange(key === null || key === NONE ? null : String(key))}
        placeholder={placeholder ?? 'Choose'}
        isDisabled={isDisabled}
        isInvalid={!!refusal}
        isRequired={isRequired}
        validationBehavior="aria"
        disabledKeys={items.filter((o) => o.isDisabled).map((o) => o.id)}
      >
        <Label className={hideLabel ? 'visually-hidden' : 'field-label'}>{label}</Label>
        {hint && (
          <Text slot="description" className="field-hint">
            {hint}
          </Text>
        )}
        <Button className="input select-value">
          <SelectValue>{({ selectedText, defaultChildren }) => selectedText || defaultChildren}</SelectValue>
          <svg width="12" height="8" viewBox="0 0 12 8" aria-hidden="true">
            <path d="M1 1l5 5 5-5" fill="none" stroke="currentColor" strokeWidth="2" />
          </svg>
        </Button>
        <FieldError className="refusal">{refusal && <RefusalText refusal={refusal} />}</FieldError>
        <Popover className="popover">
          <ListBox items={items} className="outline-none">
            {(o) => (
              <ListBoxItem id={o.id} textValue={o.label} className="option">
                <span>{o.label}</span>
                {o.detail && <span className="small">{o.detail}</span>}
              </ListBoxItem>
            )}
          </ListBox>
        </Popover>
      </Select>
    </AriaRoot>
  )
}
