import Papa from 'papaparse'
import { ok, refuse, type Result } from '../core/result'
import { badRow, type RowProblem } from './row-problem'
import { isInColumns, readColumns } from './text-columns'
import { tidyCell } from './tidy-cell'

export const DELIMITERS = [',', ';', '\t', '|'] as const
export type Delimiter = (typeof DELIMITERS)[number]
/** How cells are told apart: by a character between them, or by the columns that they are set in. */
export const SEPARATIONS = [...DELIMITERS, 'columns'] as const
export type Separation = (typeof SEPARATIONS)[number]
export const SEPARATION_NAMES: Readonly<Record<Separation, string>> = {
  ',': 'Comma between cells',
  ';': 'Semicolon between cells',
  '\t': 'Tab between cells',
  '|': 'Vertical bar between cells',
  columns: 'Text in columns',
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
  by: Separation
  rows: TableRow[]
  /** Records whose quotes don't close. They are left out of `rows`. */
  problems: RowProblem[]
}

const MAX_LINES = 20_000

export interface TableReading {
  /** The most lines there may be. */
  lines?: number
  /** Cells stay as they are, to the last blank. */
  exact?: boolean
}

/**
 * A delimited text, or one set in columns, as records with the lines they stand on.
 *
 * Errors: nothing but one column, or too many lines.
 * Source of the format: RFC 4180, section 2; other delimiters and unquoted inner quotes are common practice, no source.
 *
 * @param text with `\n` as the only line break
 */
export function readTable(text: string, choice?: Separation, reading: TableReading = {}): Result<Table> {
  const { lines: most = MAX_LINES, exact = false } = reading
  const lines = text.split('\n')
  if (lines.length > most)
    return refuse('File', `${lines.length} lines`, 'is too long', `Import up to ${most} lines.`)
  const hint = /^sep=([,;|\t])$/i.exec(lines[0]?.trim() ?? '')?.[1] as Delimiter | undefined
  const first = hint ? 1 : 0
  const by =
    choice ??
    hint ??
    (isInColumns(text) ? 'columns' : (findDelimiter(lines.slice(first).join('\n')) ?? 'columns'))
  if (by !== 'columns') return ok({ by, ...readRecords(lines, first, by, exact) })
  const rows = readColumns(text)
  if (choice !== 'columns' && rows.every((r) => r.cells.length < 2))
    return refuse(
      'File',
      '',
      'has only one column: no comma, semicolon, tab or vertical bar separates it',
      'Export the list with one column per value, or choose the delimiter yourself.',
    )
  return ok({ by, rows, problems: [] })
}

/** A quote that never closes swallows the rest of the file: its line is named, and reading begins anew below it. */
function readRecords(lines: string[], first: number, delimiter: Delimiter, exact: boolean) {
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
      const cells = exact ? raw : raw.map(tidyCell)
      if (cells.some((c) => c !== '')) rows.push({ line, lastLine, cells })
      line = lastLine + 1
    }
    at = restart
  }
  return { rows, problems }
}

const parse = (text: string, delimiter: Delimiter, preview = 0) =>
  Papa.parse<string[]>(text, { delimiter, newline: '\n', preview })

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
