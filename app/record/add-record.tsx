'use client'
import { useState } from 'react'
import { checkField, describeField, isRefField, type DocKind } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import type { Refusal, Result } from '@/lib/core/result'
import { Button, ChoiceField, Dialog, FormField, NumberEntry, SelectField } from '@/app/ui'
import { useBoard } from '@/app/sync'
import { choiceWord } from '@/app/words/choice-words'
import { fieldHint } from './field-hints'
import { refOptions } from './ref-options'

export interface NewField {
  field: string
  isRequired?: boolean
  initial?: Json
  hint?: string
}
type Values = Record<string, Json>

/** Asks for what a new record can't do without; the rest is filled in on its page. */
export function AddRecordDialog({
  title,
  doc,
  collection,
  fields,
  isOpen,
  onOpenChange,
  onAdd,
  act,
}: {
  title: string
  doc: DocKind
  collection: string
  fields: readonly NewField[]
  isOpen: boolean
  onOpenChange: (open: boolean) => void
  /** Writes the record; a refusal keeps the dialog open. */
  onAdd: (values: Values) => Result<unknown>
  act: string
}) {
  return (
    <Dialog title={title} isOpen={isOpen} onOpenChange={onOpenChange}>
      <NewRecord
        doc={doc}
        collection={collection}
        fields={fields}
        act={act}
        onAdd={onAdd}
        close={() => onOpenChange(false)}
      />
    </Dialog>
  )
}

function NewRecord({
  doc,
  collection,
  fields,
  act,
  onAdd,
  close,
}: {
  doc: DocKind
  collection: string
  fields: readonly NewField[]
  act: string
  onAdd: (values: Values) => Result<unknown>
  close: () => void
}) {
  const view = useBoard()
  const [values, setValues] = useState<Values>(() =>
    Object.fromEntries(
      fields.filter((f) => f.initial !== undefined).map((f) => [f.field, f.initial ?? null]),
    ),
  )
  const [refusals, setRefusals] = useState<Record<string, Refusal>>({})
  const set = (field: string, value: Json) => {
    setValues({ ...values, [field]: value })
    setRefusals(Object.fromEntries(Object.entries(refusals).filter(([f]) => f !== field)))
  }
  const save = () => {
    const found: Record<string, Refusal> = {}
    for (const { field, isRequired } of fields) {
      const value = values[field] ?? null
      const { label } = describeField(doc, collection, field)
      if (value === null || (typeof value === 'string' && value.trim() === '')) {
        if (isRequired)
          found[field] = { field: label, value: '', reason: 'is missing', remedy: 'Fill it in.' }
      } else {
        const fits = checkField(doc, collection, field, value)
        if (!fits.ok) found[field] = fits.error
      }
    }
    setRefusals(found)
    if (Object.keys(found).length > 0) return
    const given = Object.entries(values).map(([f, v]) => [f, typeof v === 'string' ? v.trim() : v] as const)
    const done = onAdd(Object.fromEntries(given.filter(([, v]) => v !== null && v !== '')))
    if (done.ok) return close()
    const at = fields.find((f) => describeField(doc, collection, f.field).label === done.error.field)
    if (at) setRefusals({ [at.field]: done.error })
  }
  return (
    <>
      {fields.map(({ field, isRequired, hint }, i) => {
        const face = describeField(doc, collection, field)
        const value = values[field] ?? null
        const common = {
          label: face.label,
          hint: fieldHint(collection, field) ?? hint,
          isRequired,
          refusal: refusals[field] ?? null,
        }
        if (isRefField(field))
          return (
            <SelectField
              key={field}
              {...common}
              options={refOptions(view, field, typeof value === 'string' ? value : null)}
              value={typeof value === 'string' ? value : null}
              none={isRequired ? undefined : 'None'}
              onChange={(id) => set(field, id)}
            />
          )
        if (face.kind === 'number')
          return (
            <NumberEntry
              key={field}
              {...common}
              value={typeof value === 'number' ? value : null}
              min={face.min}
              max={face.max}
              step={face.step}
              unit={face.unit || undefined}
              onChange={(v) => set(field, v)}
              onEnter={save}
            />
          )
        if (face.kind === 'choice') {
          const options = face.options.map((id) => ({ id, label: choiceWord(id, field) }))
          const chosen = typeof value === 'string' ? value : null
          return options.length <= 4 ? (
            <ChoiceField
              key={field}
              label={face.label}
              hint={hint}
              options={options}
              value={chosen}
              onChange={(id) => set(field, id)}
            />
          ) : (
            <SelectField
              key={field}
              {...common}
              options={options}
              value={chosen}
              onChange={(id) => set(field, id)}
            />
          )
        }
        return (
          <FormField
            key={field}
            {...common}
            value={typeof value === 'string' ? value : ''}
            maxLength={face.maxLength}
            autoFocus={i === 0}
            onChange={(v) => set(field, v)}
            onEnter={save}
          />
        )
      })}
      <div className="btn-row">
        <Button look="do" onPress={save}>
          {act}
        </Button>
      </div>
    </>
  )
}
