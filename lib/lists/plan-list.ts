import { docOf, type DocKind, type EditContext } from '../board'
import { ok, refuse, type Result } from '../core/result'
import { readTable, withPlainBreaks, type Delimiter } from '../tables'
import { unguarded } from './cell-text'
import { judgeList } from './judge-list'
import { listColumns, type ListColumn } from './list-columns'
import type { ListPlan, MappedColumn } from './list-plan'
import { ListReader } from './list-reader'
import { ABOUT_HEADER, hasAbout, ID_HEADER, UTF8_MARK } from './write-list'

/** A list of a whole season; spreadsheets break cells over lines. */
export const LIST_LINES = 200_000
export const LIST_BYTES = 32 * 1024 * 1024

/**
 * What bringing a list back would change. A cell that says what the board says changes nothing, so a file that nobody edited changes nothing. Rows
 * are known by their ids; a row without one is a new record. A changed value is signed by whoever brings the file in: who, when and what a proof
 * covers can't be typed. Errors: no table, or one without this list's columns.
 *
 * @param text with any line breaks
 */
export function planList(ctx: EditContext, doc: DocKind, collection: string, text: string): Result<ListPlan> {
  const on = docOf(ctx.docs, doc)
  if (!on) return refuse('Meeting', '', 'no meeting is open', 'Open a meeting first.')
  const lines = withPlainBreaks(text.startsWith(UTF8_MARK) ? text.slice(1) : text)
  const delimiter = delimiterOf(lines.slice(0, Math.max(0, lines.indexOf('\n'))))
  if (!delimiter) return noIds()
  const table = readTable(lines, delimiter, { lines: LIST_LINES, exact: true })
  if (!table.ok) return table
  const [header, ...rows] = table.value.rows
  const mapped = mapHeaders(listColumns(doc, collection), collection, header?.cells ?? [])
  if (!mapped.ok) return mapped
  const { columns, idAt, unknown } = mapped.value
  const reader = new ListReader(ctx, doc, collection, columns, idAt, header?.cells.length ?? 0)
  const { changes, problems, same, missing } = reader.read(rows)
  const judged = judgeList(ctx, doc, collection, changes)
  const all = [...table.value.problems, ...problems, ...judged.problems].sort((a, b) => a.line - b.line)
  return ok({ doc, collection, ...judged, problems: all, same, missing, unknown })
}

const noIds = () =>
  refuse(
    'Column',
    ID_HEADER,
    'is missing',
    'Download the list and edit that file: rows are known by their ids.',
  )

/** Spreadsheets write a comma, a semicolon or a tab, by the country they are set to: the one that parts the id from the rest. */
const delimiterOf = (header: string): Delimiter | undefined =>
  ([',', ';', '\t'] as const).find((d) =>
    header.split(d).some((cell) => folded(cell.replaceAll('"', '')) === ID_HEADER),
  )

const folded = (header: string) => unguarded(header).trim().toLowerCase()

function mapHeaders(columns: readonly ListColumn[], collection: string, headers: readonly string[]) {
  const found: MappedColumn[] = []
  const unknown: string[] = []
  let idAt = -1
  for (const [at, header] of headers.entries()) {
    const name = folded(header)
    if (name === ID_HEADER) idAt = at
    else if (name === '' || (name === ABOUT_HEADER && hasAbout(collection))) continue
    else {
      const column =
        columns.find((c) => c.header.toLowerCase() === name) ??
        columns.find((c) => c.part === 'value' && c.field.toLowerCase() === name)
      if (!column) unknown.push(header.trim().slice(0, 60))
      else if (found.some((f) => f.column === column))
        return refuse('Column', header, 'is there twice', 'Leave one of them out.')
      else found.push({ column, at })
    }
  }
  if (idAt < 0) return noIds()
  if (found.length === 0)
    return refuse('File', '', 'has no column of this list', 'Choose the list that it was downloaded from.')
  return ok({ columns: found, idAt, unknown })
}
