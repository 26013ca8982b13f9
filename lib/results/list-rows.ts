import { ok, refuse, type Result } from '../core/result'
import { readTable, type Delimiter, type RowProblem, type TableRow } from '../tables'

export interface ListRows {
  rows: TableRow[]
  problems: RowProblem[]
  /** How cells are told apart. */
  by: Delimiter | 'columns'
}

const MAX_LINES = 20_000

/**
 * A list as rows of cells: delimited text, or text set in columns by blanks, as a printout is when it is copied.
 *
 * @param text with `\n` as the only line break
 */
export function listRows(text: string, choice?: Delimiter | 'columns'): Result<ListRows> {
  if (choice !== 'columns' && (choice !== undefined || !isInColumns(text))) {
    const table = readTable(text, choice)
    if (table.ok)
      return ok({ rows: table.value.rows, problems: table.value.problems, by: table.value.delimiter })
    if (choice !== undefined || !/\S {2,}\S/.test(text)) return table
  }
  const lines = text.split('\n')
  if (lines.length > MAX_LINES)
    return refuse('File', `${lines.length} lines`, 'is too long', `Import up to ${MAX_LINES} lines.`)
  return ok({ rows: columnsOf(lines), problems: [], by: 'columns' })
}

const chunks = (line: string): number => line.trim().split(/ {2,}/).length

/** Do most lines have wide gaps, and none of the usual delimiters? */
function isInColumns(text: string): boolean {
  const lines = text
    .split('\n')
    .filter((l) => l.trim() !== '')
    .slice(0, 100)
  const gapped = lines.filter((l) => chunks(l) >= 3 && !/[;\t|]/.test(l) && (l.match(/,/g)?.length ?? 0) < 3)
  return lines.length > 0 && gapped.length >= lines.length * 0.6
}

/**
 * Cells by the blank columns that every line of the table has: a cell that is empty stays empty. A line that is no part of it, a heading for example, is
 * one cell.
 */
function columnsOf(lines: readonly string[]): TableRow[] {
  const table = lines.filter((l) => chunks(l) >= 3)
  const width = Math.max(0, ...table.map((l) => l.length))
  const cuts: number[] = []
  let blanks = 0
  for (let at = 0; at < width; at++) {
    if (table.every((l) => (l[at] ?? ' ') === ' ')) blanks++
    else {
      if (blanks >= 2 && at > blanks) cuts.push(at)
      blanks = 0
    }
  }
  return lines.flatMap((text, i): TableRow[] => {
    if (text.trim() === '') return []
    const line = i + 1
    const isTable = chunks(text) >= 2 && cuts.every((cut) => isCut(text, cut))
    if (!isTable) return [{ line, lastLine: line, cells: [tidy(text)] }]
    const at = [0, ...cuts, Math.max(text.length, width)]
    return [{ line, lastLine: line, cells: at.slice(1).map((end, n) => tidy(text.slice(at[n], end))) }]
  })
}

/** The two places before a cell are blank. */
const isCut = (text: string, cut: number): boolean =>
  text.length <= cut || (text[cut - 1] === ' ' && text[cut - 2] === ' ')

const tidy = (cell: string): string => cell.replace(/\s+/g, ' ').trim()
