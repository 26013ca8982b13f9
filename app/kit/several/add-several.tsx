'use client'
import { useMemo, useState } from 'react'
import type { KitCollection } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import {
  addKitList,
  countedRange,
  kitColumns,
  MOST_LABELS,
  nameField,
  planKitList,
  readKitList,
  type PlannedKit,
} from '@/lib/kit-list'
import { useAct, useBoard } from '@/app/sync'
import {
  Button,
  FormField,
  LineProblems,
  NumberEntry,
  SelectField,
  TicketBody,
  TicketSection,
} from '@/app/ui'
import { choiceWord } from '@/app/words/choice-words'
import { valueWord } from './value-word'

export interface AddSeveralProps {
  collection: KitCollection
  /** One of them and several, in the middle of a sentence. */
  one: string
  many: string
  /** What people can type here, as examples. */
  example: string
  /** What every row has, such as the speed control of a parameter. */
  fixed?: Record<string, Json>
  /** New ones are copies of this record. */
  like?: string
  initial?: string
  onDone: () => void
}

const FIRST = 12

/** Many at once: typed line by line, as a range of labels, or pasted as a table; shown as rows before anything is written. */
export function AddSeveral({
  collection,
  one,
  many,
  example,
  fixed,
  like,
  initial = '',
  onDone,
}: AddSeveralProps) {
  const view = useBoard()
  const act = useAct()
  const [text, setText] = useState(initial)
  const [fields, setFields] = useState<(string | null)[] | undefined>(undefined)
  const [count, setCount] = useState<number | null>(1)
  const [countFits, setCountFits] = useState(true)
  // Copies whose names count on: how many is a number, and the rest of the line stays as it was typed.
  const isCounted = like !== undefined && initial !== ''
  const countTo = (n: number | null) => {
    setCount(n)
    if (n === null) return
    const comma = text.indexOf(',')
    setText(countedRange(initial, n) + (comma < 0 ? '' : text.slice(comma)))
  }
  const list = useMemo(
    () => readKitList(view, text, { collection, word: choiceWord, fields }),
    [view, text, collection, fields],
  )
  const plan = useMemo(
    () => planKitList(view, collection, list, { fixed, like }),
    [view, collection, list, fixed, like],
  )
  const problems = [...list.problems, ...plan.taken]
  const writes = plan.added.length + plan.changed.length
  const counted = (n: number) => `${n} ${n === 1 ? one : many}`
  const said = [
    plan.added.length > 0 && `${counted(plan.added.length)} added`,
    plan.changed.length > 0 && `${counted(plan.changed.length)} changed`,
  ]
    .filter(Boolean)
    .join(', ')
  return (
    <>
      <TicketBody>
        {isCounted && (
          <NumberEntry
            label="How many"
            value={count}
            onChange={countTo}
            onFits={setCountFits}
            min={1}
            max={MOST_LABELS}
            step={1}
            stepper
            autoFocus
          />
        )}
        <FormField
          label={`Type or paste ${many}`}
          hint={
            <>
              One per line, a range of labels, or a table copied from a spreadsheet with its header row.
              Example: <b>{example}</b>
            </>
          }
          value={text}
          onChange={(next) => {
            setText(next)
            setCount(null)
            setFields(undefined)
          }}
          multiline
          autoFocus={!isCounted}
        />
      </TicketBody>
      {list.table && (
        <Mapping
          collection={collection}
          headers={list.table.headers}
          fields={list.table.fields}
          onChange={setFields}
        />
      )}
      {problems.length > 0 && (
        <LineProblems
          title={problems.length === 1 ? '1 row is skipped' : `${problems.length} rows are skipped`}
          problems={problems}
        />
      )}
      {writes > 0 && <Preview collection={collection} added={plan.added} changed={plan.changed} />}
      <TicketBody>
        {plan.same > 0 && (
          <p className="small">
            {counted(plan.same)} {plan.same === 1 ? 'is' : 'are'} in the kit as listed.
          </p>
        )}
        <div className="btn-row">
          <Button
            look="do"
            isDisabled={writes === 0 || !countFits}
            onPress={() => {
              if (act((ctx, v) => addKitList(ctx, v, plan), said).ok) onDone()
            }}
          >
            {plan.changed.length > 0
              ? `Write ${counted(writes)}`
              : plan.added.length > 0
                ? `Add ${counted(plan.added.length)}`
                : `Add ${many}`}
          </Button>
          <Button onPress={onDone}>Cancel</Button>
        </div>
      </TicketBody>
    </>
  )
}

/** What each column of a pasted table was taken for; every guess can be corrected. */
function Mapping({
  collection,
  headers,
  fields,
  onChange,
}: {
  collection: KitCollection
  headers: readonly string[]
  fields: readonly (string | null)[]
  onChange: (fields: (string | null)[]) => void
}) {
  const options = kitColumns(collection).map((c) => ({ id: c.field, label: c.label, detail: c.unit }))
  return (
    <>
      <TicketSection title="What each column holds" level={2} />
      <div className="form-grid">
        {headers.map((header, i) => (
          <SelectField
            key={i}
            label={header || `Column ${i + 1}`}
            options={options}
            value={fields[i] ?? null}
            none="Not used"
            onChange={(field) =>
              // A field stands once: where it was before, the column is not used any more.
              onChange(fields.map((f, j) => (j === i ? field : f === field ? null : f)))
            }
          />
        ))}
      </div>
    </>
  )
}

function Preview({
  collection,
  added,
  changed,
}: {
  collection: KitCollection
  added: readonly PlannedKit[]
  changed: readonly PlannedKit[]
}) {
  const view = useBoard()
  const [all, setAll] = useState(false)
  const columns = kitColumns(collection)
  const own = columns.find((c) => c.field === nameField(collection))
  const rows = [...changed, ...added]
  const used = columns.filter((c) => c !== own && rows.some((r) => c.field in r.values))
  const shown = all ? rows : rows.slice(0, FIRST)
  return (
    <>
      <TicketSection title="Preview" level={2} aside={<span className="num">{rows.length}</span>} />
      <div className="table-scroll">
        <table className="data-table">
          <thead>
            <tr>
              <th scope="col">{own?.label}</th>
              {used.map((c) => (
                <th key={c.field} scope="col" className={c.kind === 'number' ? 'is-number' : undefined}>
                  {c.label}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {shown.map((r) => (
              <tr key={r.line + r.name}>
                <th scope="row">
                  {r.name} <span className="small">{r.recordId ? 'changes' : 'new'}</span>
                </th>
                {used.map((c) => (
                  <td key={c.field} className={c.kind === 'number' ? 'is-number num' : undefined}>
                    {c.field in r.before && r.before[c.field] !== null && (
                      <>{valueWord(view, c, r.before[c.field])} → </>
                    )}
                    {valueWord(view, c, r.values[c.field])}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {shown.length < rows.length && (
        <div className="p-3">
          <Button onPress={() => setAll(true)}>Show all {rows.length}</Button>
        </div>
      )}
    </>
  )
}
