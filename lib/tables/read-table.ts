import Papa from 'papaparse'
import { ok, refuse, type Result } from '../core/result'
import { badRow, type RowProblem } from './row-problem'

export const DELIMITERS = [',', ';', '\t', '|'] as const
export type Delimiter = (typeof DELIMITERS)[number]
export const DELIMITER_NAMES: Record<Delimiter, string> = {
  ',': 'comma',
  ';': 'semicolon',
  '\t': 'tab',
  '|': 'vertical bar',
}

/** One record of the file. A quoted cell may hold line breaks, so a record can span several lines. */
export interface TableRow {
  /** Line of the file on which the record begins; the first line is 1. */
  line: number
  lastLine: number
  /** Trimmed, with single spaces. */
  cells: string[]
}

export interface Table {
  delimiter: Delimiter
  rows: TableRow[]
  /** Records whose quotes don't close. They are left out of `rows`. */
  problems: RowProblem[]
}

const MAX_LINES = 20_000

/**
 * A delimited text as records with the lines they stand on.
 *
 * Errors: nothing but one column, or too many lines.
 * Source of the format: RFC 4180, section 2; other delimiters and unquoted inner quotes are common practice, no source.
 *
 * @param text with `\n` as the only line break
 */
export function readTable(text: string, choice?: Delimiter): Result<Table> {
  const lines = text.split('\n')
  if (lines.length > MAX_LINES)
    return refuse('File', `${lines.length} lines`, 'is too long', `Import up to ${MAX_LINES} lines.`)
  const hint = /^sep=([,;|\t])$/i.exec(lines[0]?.trim() ?? '')?.[1] as Delimiter | undefined
  const first = hint ? 1 : 0
  const delimiter = choice ?? hint ?? findDelimiter(lines.slice(first).join('\n'))
  if (!delimiter)
    return refuse(
      'File',
      '',
      'has only one column: no comma, semicolon, tab or vertical bar separates it',
      'Export the list with one column per value, or choose the delimiter yourself.',
    )
  return ok({ delimiter, ...readRecords(lines, first, delimiter) })
}

/** A quote that never closes swallows the rest of the file: its line is named, and reading begins anew below it. */
function readRecords(lines: string[], first: number, delimiter: Delimiter) {
  const rows: TableRow[] = []
  const problems: RowProblem[] = []
  let at = first
  while (at < lines.length) {
    const parsed = parse(lines.slice(at).join('\n'), delimiter)
    const firstError = parsed.errors.find((e) => e.type === 'Quotes')
    let line = at + 1
    let restart = lines.length
    for (const [i, raw] of parsed.data.entries()) {
      if (firstError?.row === i) {
        problems.push(
          badRow(
            line,
            'Quotes',
            (lines[line - 1] ?? '').trim().slice(0, 60),
            'a quotation mark opens a cell and is never closed',
            'Close the quotation mark. To use one inside a cell, double it.',
          ),
        )
        restart = line
        break
      }
      const lastLine = line + raw.reduce((n, cell) => n + cell.split('\n').length - 1, 0)
      const cells = raw.map(tidy)
      if (cells.some((c) => c !== '')) rows.push({ line, lastLine, cells })
      line = lastLine + 1
    }
    at = restart
  }
  return { rows, problems }
}

const parse = (text: string, delimiter: Delimiter, preview = 0) =>
  Papa.parse<string[]>(text, { delimiter, newline: '\n', preview })

/** No-break and zero-width blanks come along when a table is copied from a page or a sheet. */
const tidy = (cell: string): string =>
  cell
    .replace(/[\u200b\u200c\u200d\ufeff]/g, '')
    .replace(/[\s\u00a0\u2007\u202f]+/g, ' ')
    .trim()

const SAMPLE_ROWS = 80

/**
 * The delimiter that parts most rows into the same, large number of cells. Section lines and titles don't fit any count, so a share of
 * misfits is expected. Null when no candidate gives two columns.
 */
export function findDelimiter(text: string): Delimiter | null {
  const sample = text.split('\n').slice(0, SAMPLE_ROWS).join('\n')
  let best: { delimiter: Delimiter; score: number } | null = null
  for (const delimiter of DELIMITERS) {
    const counts = parse(sample, delimiter, SAMPLE_ROWS)
      .data.filter((r) => r.some((c) => c.trim() !== ''))
      .map((r) => r.length)
    const tally = new Map<number, number>()
    for (const n of counts) if (n > 1) tally.set(n, (tally.get(n) ?? 0) + 1)
    for (const [columns, rows] of tally) {
      const score = (rows / counts.length) * Math.log2(columns)
      if (score > (best?.score ?? 0)) best = { delimiter, score }
    }
  }
  return best?.delimiter ?? null
}
