import { checkListed, docOf, fieldDef, isRecordId, type DocKind, type EditContext } from '../board'
import { newId } from '../core/id'
import { canonicalJson, type Json } from '../core/json'
import { ok, refuse, type Result } from '../core/result'
import { badRow, withPlainBreaks, type RowProblem, type TableRow } from '../tables'
import { cellText, readCellText, unguarded, type NameOf } from './cell-text'
import { isNoted, listColumns, type ListColumn } from './list-columns'
import { asCell, type ListChange, type MappedColumn } from './list-plan'
import { listRecords, namesOf, type ListRecord } from './list-records'
import { hasAbout, ID_HEADER, isSigned, partOf } from './write-list'

export interface ReadRows {
  changes: ListChange[]
  problems: RowProblem[]
  same: number
  missing: number
}

/** Reads the rows of a list: what each changes, before anybody asks whether it may. */
export class ListReader {
  readonly #records: Map<string, ListRecord>
  readonly #nameOf: NameOf
  readonly #byField = new Map<string, MappedColumn[]>()
  readonly #signed = new Set<string>()
  readonly #proofs = new Set<string>()
  readonly #seen = new Map<string, number>()
  readonly #found: ReadRows

  constructor(
    readonly ctx: EditContext,
    readonly doc: DocKind,
    readonly collection: string,
    columns: readonly MappedColumn[],
    readonly idAt: number,
    readonly width: number,
  ) {
    const on = docOf(ctx.docs, doc)
    // By all columns of the list, whichever of them the file has.
    const all = listColumns(doc, collection)
    for (const { field, part } of all) {
      if (isSigned(all, field)) this.#signed.add(field)
      if (part === 'covers') this.#proofs.add(field)
    }
    this.#records = new Map((on ? listRecords(on, collection) : []).map((r) => [r.id, r]))
    this.#nameOf = namesOf(ctx.docs)
    for (const c of columns) {
      const list = this.#byField.get(c.column.field)
      if (list) list.push(c)
      else this.#byField.set(c.column.field, [c])
    }
    this.#found = { changes: [], problems: [], same: 0, missing: 0 }
  }

  read(rows: readonly TableRow[]): ReadRows {
    for (const row of rows) this.#row(row)
    this.#found.missing = [...this.#records.values()].filter(
      (r) => r.values['removed'] !== true && !this.#seen.has(r.id),
    ).length
    return this.#found
  }

  #row({ line, cells }: TableRow): void {
    const bad = (field: string, value: string, reason: string, remedy: string) =>
      void this.#found.problems.push(badRow(line, field, value, reason, remedy))
    if (cells.length < this.width)
      return bad(
        'Row',
        '',
        `has ${cells.length} cells, the header has ${this.width}`,
        'Give every row all cells.',
      )
    if (cells.slice(this.width).some((c) => c.trim() !== ''))
      return bad(
        'Row',
        '',
        'has more cells than the header',
        'Put cells with commas or line breaks in quotation marks.',
      )
    const written = unguarded(cells[this.idAt] ?? '').trim()
    if (written === '' && hasAbout(this.collection))
      return bad(
        ID_HEADER,
        '',
        'is missing',
        'Rows of this list belong to others: their ids can’t be made up.',
      )
    if (written !== '' && !isRecordId(written))
      return bad(
        ID_HEADER,
        written,
        'is not an id',
        'Leave it empty for a new row, or copy it from the downloaded list.',
      )
    const twin = written === '' ? undefined : this.#seen.get(written)
    if (twin !== undefined)
      return bad(ID_HEADER, written, `is on line ${twin} already`, 'Give each row its own.')
    const id = written === '' ? newId<'listed'>() : written
    this.#seen.set(id, line)
    const record = this.#records.get(id)
    const changes: ListChange[] = []
    const problems: RowProblem[] = []
    for (const [field, columns] of this.#byField) {
      const change = this.#field({ line, id, record }, field, columns, cells)
      if (!change.ok) problems.push({ ...change.error, line, severity: 'bad' })
      else if (change.value) changes.push(change.value)
    }
    const range = checkListed(this.collection, {
      ...record?.values,
      ...Object.fromEntries(changes.map((c) => [c.field, c.after])),
    })
    if (changes.length > 0 && !range.ok) problems.push({ ...range.error, line, severity: 'bad' })
    if (problems.length > 0) return void this.#found.problems.push(...problems)
    if (changes.length === 0) this.#found.same++
    this.#found.changes.push(...changes)
  }

  /** What the cells of one field change; null when they say what the board says. */
  #field(
    row: { line: number; id: string; record: ListRecord | undefined },
    field: string,
    columns: readonly MappedColumn[],
    cells: readonly string[],
  ): Result<ListChange | null> {
    const before = row.record?.values[field]
    const all = columns.map((c) => c.column)
    const signed = this.#signed.has(field)
    const edited: { column: ListColumn; value: Json }[] = []
    for (const { column, at } of columns) {
      const cell = cells[at] ?? ''
      const now = partOf(before, column, signed)
      if (withPlainBreaks(cellText(column, now, this.#nameOf)) === cell) continue
      const read = readCellText(column, cell)
      if (!read.ok) return read
      if (canonicalJson(read.value) === canonicalJson(asCell(now))) continue
      edited.push({ column, value: read.value })
    }
    // A new row may carry the old signatures along: it is signed anew.
    const typed = row.record ? edited : edited.filter((e) => !isNoted(e.column))
    const values = typed.filter((e) => !isNoted(e.column))
    const noted = typed.find((e) => isNoted(e.column))
    if (typed.length === 0) return ok(null)
    const label = fieldDef(this.doc, this.collection, field)?.label ?? field
    const isStale = typed.some((e) => e.column.part === 'at' && isBefore(e.value, before))
    // Signed again since, with the value that it had.
    if (values.length === 0 && isStale) return ok(null)
    if (values.length === 0 && noted)
      return refuse(
        noted.column.header,
        '',
        'can’t be typed',
        'The board itself writes who and when. Put back what was there.',
      )
    if (this.#proofs.has(field) && values.some((e) => e.value !== null))
      return refuse(label, '', 'is a proof and can’t be typed', 'Do it on the card. Put back what was there.')
    const after = signed ? this.#underName(before, values) : (values[0]?.value ?? null)
    const was = this.#shown(all, before, signed)
    const is = this.#shown(all, after, signed)
    const name = this.#nameOf(this.collection, row.id) || row.id
    return ok({
      line: row.line,
      recordId: row.id,
      name,
      field,
      label,
      before,
      after,
      was,
      is,
      isNew: !row.record,
      ...(isStale && { isStale }),
    })
  }

  /** The value with its edited parts, under the name of whoever brings the file in. */
  #underName(before: Json | undefined, edited: readonly { column: ListColumn; value: Json }[]): Json {
    const old = typeof before === 'object' && before !== null && !Array.isArray(before) ? before : {}
    let v: Json = old['v'] ?? null
    let why: Json = null
    for (const { column, value } of edited)
      if (column.part === 'value') v = value
      else if (column.part === 'why') why = value
      else if (typeof column.part === 'object') {
        const parts = new Map(
          typeof v === 'object' && v !== null && !Array.isArray(v) ? Object.entries(v) : [],
        )
        if (value === null) parts.delete(column.part.of)
        else parts.set(column.part.of, value)
        v = parts.size === 0 ? null : Object.fromEntries(parts)
      }
    const sign = { by: this.ctx.actor.personId, at: Math.round(this.ctx.clock.now()) }
    return { v, ...sign, ...(why !== null && { why }) }
  }

  #shown(columns: readonly ListColumn[], value: Json | undefined, signed: boolean): string {
    return columns
      .filter((c) => !isNoted(c))
      .map((c) => cellText(c, partOf(value, c, signed), this.#nameOf))
      .filter((t) => t !== '')
      .join(' · ')
  }
}

/** Whether a file that says this of when a value was signed is older than the value: then there was none yet, or an earlier one. */
const isBefore = (written: Json, signed: Json | undefined): boolean => {
  const at =
    typeof signed === 'object' && signed !== null && !Array.isArray(signed) ? signed['at'] : undefined
  return typeof at === 'number' && (written === null || (typeof written === 'number' && written < at))
}
