import { checkParameterRange, type BoardView, type KitCollection } from '../board'
import type { Json } from '../core/json'
import { badRow, readTable, type RowProblem } from '../tables'
import { columnNamed, kitColumns, nameField, splitHeader, type KitColumn } from './kit-columns'
import { labelRange, sameLabel } from './label-range'
import { NUMBER_AND_UNIT, readCell, unitFactor } from './read-cell'

/** One thing that the list names. */
export interface KitRow {
  line: number
  name: string
  /** By field, without the name. Blank cells are absent. */
  values: Readonly<Record<string, Json>>
}

export interface KitList {
  /** Header texts when the list is a table, and what each column was taken for (null: not used); null for plain lines. */
  table: { headers: readonly string[]; fields: readonly (string | null)[] } | null
  rows: KitRow[]
  problems: RowProblem[]
}

export interface KitListReading {
  collection: KitCollection
  /** What a choice is called on screen. */
  word: (value: string, field: string) => string
  /** Corrections of what the columns of a table hold, by column. */
  fields?: readonly (string | null)[] | undefined
}

/**
 * A pasted or typed list of kit: a table with a header row, or one thing a line (`P7, 5000 mAh, 2 cells`), where a line can name a range
 * (`P1 to P12, 5000 mAh`). A row of which one cell can't be read is left out and named.
 */
export function readKitList(view: BoardView, text: string, reading: KitListReading): KitList {
  const columns = kitColumns(reading.collection)
  const lines = text.replace(/\r\n?/g, '\n').trim() === '' ? '' : text.replace(/\r\n?/g, '\n')
  const table = readTable(lines)
  const header = table.ok ? table.value.rows[0] : undefined
  const found = header?.cells.map((c) => columnNamed(columns, splitHeader(c).name)) ?? []
  const isTable =
    header &&
    found.filter(Boolean).length >= 2 &&
    found.some((c) => c?.field === nameField(reading.collection))
  return table.ok && isTable
    ? readRows(view, table.value, columns, reading)
    : readLines(view, lines, columns, reading)
}

function readRows(
  view: BoardView,
  table: { rows: { line: number; cells: string[] }[]; problems: RowProblem[] },
  columns: readonly KitColumn[],
  { collection, word, fields: chosen }: KitListReading,
): KitList {
  const [header, ...body] = table.rows
  const headers = header?.cells ?? []
  const fields = chosen ?? guess(columns, headers)
  const list: KitList = { table: { headers, fields }, rows: [], problems: [...table.problems] }
  for (const { line, cells } of body) {
    const values: Record<string, Json> = {}
    const before = list.problems.length
    for (const [i, cell] of cells.entries()) {
      const column = columns.find((c) => c.field === fields[i])
      if (!column) continue
      const read = readCell(view, column, cell, word, splitHeader(headers[i] ?? '').unit)
      if (!read.ok) list.problems.push({ ...read.error, line, severity: 'bad' })
      else if (read.value !== null) values[column.field] = read.value
    }
    if (list.problems.length > before) continue
    take(list, line, collection, values, columns)
  }
  return list
}

/** Each column's field: every field is named once, by the first header that does. */
function guess(columns: readonly KitColumn[], headers: readonly string[]): (string | null)[] {
  const left = [...columns]
  return headers.map((h) => {
    const column = columnNamed(left, splitHeader(h).name)
    if (!column) return null
    left.splice(left.indexOf(column), 1)
    return column.field
  })
}

function readLines(
  view: BoardView,
  text: string,
  columns: readonly KitColumn[],
  { collection, word }: KitListReading,
): KitList {
  const own = nameField(collection)
  const list: KitList = { table: null, rows: [], problems: [] }
  for (const [i, raw] of text.split('\n').entries()) {
    const line = i + 1
    const [name = '', ...parts] = raw.split(/[;\t]|,(?!\d)/).map((p) => p.trim())
    if (name === '' && parts.every((p) => p === '')) continue
    const names = labelRange(name)
    const values: Record<string, Json> = {}
    const before = list.problems.length
    if (!names.ok) list.problems.push({ ...names.error, line, severity: 'bad' })
    for (const part of parts.filter((p) => p !== '')) {
      const read = readPart(view, columns, part, values, word)
      if (read) list.problems.push({ ...read, line, severity: 'bad' })
    }
    if (list.problems.length > before || !names.ok) continue
    for (const one of names.value) take(list, line, collection, { ...values, [own]: one }, columns)
  }
  return list
}

/** One value of a line, found by its unit, its name or its choice. Gives what is wrong with it, or null. */
function readPart(
  view: BoardView,
  columns: readonly KitColumn[],
  part: string,
  values: Record<string, Json>,
  word: KitListReading['word'],
) {
  const free = columns.filter((c) => !(c.field in values) && c.field !== columns[0]?.field)
  const number = NUMBER_AND_UNIT.exec(part)
  const unit = number?.[2]?.trim() ?? ''
  const byUnit =
    unit === ''
      ? []
      : free.filter((c) => c.kind === 'number' && c.unit !== '' && unitFactor(c, unit) !== null)
  const counted =
    unit === '' ? [] : free.filter((c) => c.kind === 'number' && c.unit === '' && unitFactor(c, unit) === 1)
  const choices = free.filter((c) => c.kind === 'choice' && readCell(view, c, part, word).ok)
  const refs = free.filter((c) => c.ref && readCell(view, c, part, word).ok)
  for (const group of [counted, byUnit, choices, refs]) {
    const [column] = group
    if (!column) continue
    const read = readCell(view, column, part, word)
    if (!read.ok) return read.error
    values[column.field] = read.value
    return null
  }
  // `compound Ember`, `Ember compound`
  const words = part.split(/\s+/)
  for (let n = words.length - 1; n > 0; n--)
    for (const [named, rest] of [
      [words.slice(0, n), words.slice(n)],
      [words.slice(-n), words.slice(0, -n)],
    ] as const) {
      const column = columnNamed(free, named.join(' '))
      if (!column) continue
      const read = readCell(view, column, rest.join(' ').replace(/^[:=]\s*/, ''), word)
      if (!read.ok) return read.error
      values[column.field] = read.value
      return null
    }
  return {
    field: 'Value',
    value: part,
    reason: 'matches no field',
    remedy: 'Add its unit or its name, as in “5000 mAh” or “compound Ember”.',
  }
}

function take(
  list: KitList,
  line: number,
  collection: KitCollection,
  values: Record<string, Json>,
  columns: readonly KitColumn[],
): void {
  const own = nameField(collection)
  const { [own]: given, ...rest } = values
  const name = typeof given === 'string' ? given.trim() : ''
  const face = columns[0]
  const refuse = (reason: string, remedy: string) =>
    list.problems.push(badRow(line, face?.label ?? 'Name', name, reason, remedy))
  if (name === '') return void refuse('is missing', 'Every row needs one.')
  if (face?.maxLength !== undefined && name.length > face.maxLength)
    return void refuse(`is longer than ${face.maxLength} characters`, 'Shorten it.')
  const twin = list.rows.find((r) => sameLabel(r.name, name))
  if (twin) return void refuse(`is on line ${twin.line} already`, 'Give each its own name.')
  const range = collection === 'controllerParameters' ? checkParameterRange(rest) : null
  if (range?.ok === false) return void list.problems.push({ ...range.error, line, severity: 'bad' })
  list.rows.push({ line, name, values: rest })
}
