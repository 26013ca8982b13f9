'use client'
import { useState } from 'react'
import {
  changeNamedFields,
  checkField,
  describeField,
  isRefField,
  isShare,
  type BoardView,
  type DocKind,
  type FieldFace,
} from '@/lib/board'
import type { Json } from '@/lib/core/json'
import type { Refusal } from '@/lib/core/result'
import { shownValue } from '@/app/words/shown-value'
import { useAct, useBoard, useMay, SavedMark } from '@/app/sync'
import { ChoiceField, FormField, NumberEntry, SelectField, Tick } from '@/app/ui'
import { choiceWord } from '@/app/words/choice-words'
import { fieldHint } from './field-hints'
import { nameOf, refOptions } from './ref-options'

/** One field of one record, named by text because forms are lists of names. */
export interface RecordFieldProps {
  doc: DocKind
  collection: string
  recordId: string
  field: string
  hint?: string
  multiline?: boolean
  /** For references and choices that may be left open. */
  none?: string
  step?: number
  /** A name that must not be emptied. */
  isRequired?: boolean
}

type Loose = { id: string; [field: string]: Json | undefined }
const recordOf = (view: BoardView, collection: string, id: string): Loose | undefined =>
  (view as unknown as Record<string, { get(id: string): Loose | undefined }>)[collection]?.get(id)

/** Rounded where binary arithmetic leaves a tail. */
const tidy = (x: number): number => Number(x.toPrecision(9))
const ofHundred = (percent: number): number => tidy(percent / 100)
const inPercent = (face: FieldFace): FieldFace => ({
  ...face,
  unit: '%',
  ...(face.min !== undefined && { min: tidy(face.min * 100) }),
  ...(face.max !== undefined && { max: tidy(face.max * 100) }),
})

/** Writes one field as soon as it is left, or chosen. What does not fit stays in the field, is explained, and is not written. */
export function RecordField(props: RecordFieldProps) {
  const { doc, collection, recordId, field } = props
  const view = useBoard()
  const may = useMay(doc, collection, recordId, field)
  const act = useAct()
  const face = describeField(doc, collection, field)
  const stored = recordOf(view, collection, recordId)?.[field] ?? null
  const write = (value: Json): Refusal | null => {
    if (JSON.stringify(value) === JSON.stringify(stored)) return null
    const fits = checkField(doc, collection, field, value)
    if (!fits.ok) return fits.error
    const name = nameOf(recordOf(view, collection, recordId))
    const said = (v: unknown) => shownValue(view, { doc, collection, field }, (v ?? null) as Json | null)
    const done = act((ctx) => changeNamedFields(ctx, doc, collection, recordId, { [field]: value }), {
      what: `${name}: ${face.label.toLowerCase()}`,
      from: said(stored),
      to: said(value),
    })
    return done.ok ? null : done.error
  }
  const hint = fieldHint(collection, field) ?? props.hint
  const common = { props: { ...props, hint }, may, write, label: face.label }
  const isPercent = isShare(collection, field)
  return (
    <div className="grid gap-1 min-w-0 content-start">
      {isRefField(field) ? (
        <SelectField
          label={face.label}
          hint={props.hint}
          options={refOptions(view, field, typeof stored === 'string' ? stored : null)}
          value={typeof stored === 'string' ? stored : null}
          none={props.none ?? 'None'}
          isDisabled={!may}
          onChange={(id) => write(id)}
        />
      ) : face.kind === 'number' ? (
        <NumberDraft
          {...common}
          write={isPercent ? (v) => write(typeof v === 'number' ? ofHundred(v) : v) : write}
          face={isPercent ? inPercent(face) : face}
          stored={typeof stored === 'number' ? (isPercent ? tidy(stored * 100) : stored) : null}
        />
      ) : face.kind === 'flag' ? (
        <Tick isSelected={stored === true} isDisabled={!may} onChange={(on) => write(on)} detail={props.hint}>
          {face.label}
        </Tick>
      ) : face.kind === 'choice' ? (
        <Choice {...common} options={face.options} stored={typeof stored === 'string' ? stored : null} />
      ) : (
        <TextDraft {...common} maxLength={face.maxLength} stored={typeof stored === 'string' ? stored : ''} />
      )}
      <SavedMark doc={doc} collection={collection} recordId={recordId} field={field} />
    </div>
  )
}

interface DraftProps {
  props: RecordFieldProps
  may: boolean
  label: string
  write: (value: Json) => Refusal | null
}

function Choice({
  props,
  may,
  label,
  write,
  options,
  stored,
}: DraftProps & { options: readonly string[]; stored: string | null }) {
  const items = options.map((id) => ({ id, label: choiceWord(id, props.field) }))
  if (options.length <= 3)
    return (
      <ChoiceField
        label={label}
        hint={props.hint}
        options={items}
        value={stored}
        isDisabled={!may}
        onChange={(id) => write(id)}
      />
    )
  return (
    <SelectField
      label={label}
      hint={props.hint}
      options={items}
      value={stored}
      none={props.none}
      isDisabled={!may}
      onChange={(id) => write(id)}
    />
  )
}

function TextDraft({
  props,
  may,
  label,
  write,
  stored,
  maxLength,
}: DraftProps & { stored: string; maxLength?: number }) {
  const [draft, setDraft] = useState<string | null>(null)
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const commit = () => {
    if (draft === null) return
    const text = draft.trim()
    const refused = props.isRequired && text === '' ? missing(label) : write(text === '' ? null : text)
    setRefusal(refused)
    if (!refused) setDraft(null)
  }
  return (
    <div onBlur={commit}>
      <FormField
        label={label}
        hint={props.hint}
        value={draft ?? stored}
        onChange={(v) => {
          setDraft(v)
          setRefusal(null)
        }}
        refusal={refusal}
        isDisabled={!may}
        isRequired={props.isRequired}
        multiline={props.multiline}
        maxLength={maxLength}
        onEnter={props.multiline ? undefined : commit}
      />
    </div>
  )
}

const missing = (label: string): Refusal => ({
  field: label,
  value: '',
  reason: 'is missing',
  remedy: 'Enter a name, or remove the whole record.',
})

function NumberDraft({
  props,
  may,
  label,
  write,
  stored,
  face,
}: DraftProps & {
  stored: number | null
  face: { unit: string; min?: number; max?: number; step?: number }
}) {
  const [draft, setDraft] = useState<{ value: number | null } | null>(null)
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const commit = () => {
    if (!draft) return
    const refused = write(draft.value)
    setRefusal(refused)
    if (!refused) setDraft(null)
  }
  return (
    <div onBlur={commit}>
      <NumberEntry
        label={label}
        hint={props.hint}
        value={draft ? draft.value : stored}
        onChange={(value) => {
          setDraft({ value })
          setRefusal(null)
        }}
        refusal={refusal}
        isDisabled={!may}
        unit={face.unit || undefined}
        min={face.min}
        max={face.max}
        step={props.step ?? face.step}
        onEnter={commit}
      />
    </div>
  )
}
