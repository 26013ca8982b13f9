import { isNoLap } from '../core/parse-laps'
import { readSeconds } from '../core/read-seconds'
import { readSectionLine } from '../running-order/section-line'
import { badRow, doubtfulRow, isBad, type RowProblem, type TableRow } from '../tables'
import { LapSheet } from './lap-sheet'
import { headingOf, NO_HEAT, type ListedHeatName, type ListedLaps, type ListedRacer } from './listed'
import { isLap } from './lap-layout'
import { roleOfHeading } from './result-columns'

/**
 * A row per lap, the racers in the header: by name, `#14`, `14` or transponder. The first row that is no lap is the header; a heading above it may name
 * the heat.
 */
export function lapsByColumn(rows: readonly TableRow[], problems: RowProblem[]): ListedLaps[] {
  const at = headerAt(rows)
  const header = rows[at]
  const unclear = header ? wholeSeconds(rows, at) : rows.find((r) => r.cells.some(isWhole))
  if (!header || unclear) {
    const { line, cells } = unclear ?? { line: rows[0]?.line ?? 1, cells: [] }
    problems.push(
      unclear
        ? badRow(
            line,
            'Lap time',
            cells.find(isWhole) ?? '',
            'could be a lap or a car’s number',
            'Write laps with tenths, as in 26.0, or put a column “Lap” that counts them before the first car.',
          )
        : badRow(
            line,
            'Header',
            '',
            'does not name the cars',
            'Put names, numbers or transponders above the laps.',
          ),
    )
    return []
  }
  const heat = rows.slice(0, at).reduce((h, row) => headingAbove(row) ?? h, NO_HEAT)
  const own: RowProblem[] = []
  const body = lapRows(rows.slice(at + 1), header, own)
  const counter = counterOf(rows.slice(at + 1), header)
  const out: ListedLaps[] = []
  header.cells.forEach((name, i) => {
    const racer = i === counter || roleOfHeading(name) === 'lap' ? null : racerOfHeading(name)
    if (!racer) return
    const sheet = new LapSheet(name, own)
    for (const row of body) sheet.add(row.line, row.cells[i] ?? '')
    out.push({ line: header.line, racer, heat, laps: sheet.laps })
  })
  problems.push(...own)
  // A list that was only read in part is left out whole: who knows which row the hole is in.
  return own.some(isBad) ? [] : out
}

const isWhole = (text: string): boolean => /^\d{1,3}$/.test(text) && readSeconds(text) !== null

/** The row above the first lap; where a column counts the laps, whole seconds are laps too. */
function headerAt(rows: readonly TableRow[]): number {
  const counting = rows.findIndex(
    (r, i) =>
      r.cells.some((c) => roleOfHeading(c) === 'lap') && counterOf(rows.slice(i + 1), r) !== undefined,
  )
  return counting >= 0 ? counting : rows.findIndex((r) => r.cells.some(isLap)) - 1
}

/** A header of whole numbers below another one is a row of laps without tenths. */
function wholeSeconds(rows: readonly TableRow[], at: number): TableRow | undefined {
  const [above, header] = [rows[at - 1], rows[at]]
  const names = above?.cells.filter((c) => c !== '') ?? []
  const numbers = header?.cells.filter((c) => c !== '') ?? []
  return numbers.length > 1 &&
    numbers.every(isWhole) &&
    names.length === numbers.length &&
    names.every(racerOfHeading)
    ? header
    : undefined
}

const headingAbove = (row: TableRow): ListedHeatName | null => {
  const section = readSectionLine(row.cells.filter((c) => c !== '').join(' – '))
  return section?.kind === 'heat' || section?.kind === 'round' ? headingOf(section) : null
}

/** The column that counts the laps: it names nobody. */
function counterOf(below: readonly TableRow[], header: TableRow): number | undefined {
  const begins = (i: number) =>
    below[0]?.cells[i] === '1' && (below.length < 2 || below[1]?.cells[i] !== '1') && i < header.cells.length
  const named = header.cells.findIndex((c, i) => roleOfHeading(c) === 'lap' && begins(i))
  if (named >= 0) return named
  const counts = header.cells.findIndex((_, i) => begins(i) && below[1]?.cells[i] === '2')
  return counts >= 0 ? counts : undefined
}

/** The rows that are laps: those whose count goes on, or, where nothing counts, those without words in front. Others are said. */
function lapRows(below: readonly TableRow[], header: TableRow, problems: RowProblem[]): TableRow[] {
  const counter = counterOf(below, header)
  const labels = header.cells.flatMap((name, i) => (name === '' ? [i] : []))
  const out: TableRow[] = []
  for (const row of below) {
    // Long lists print their header again on each page.
    if (row.cells.length === header.cells.length && row.cells.every((c, i) => c === header.cells[i])) continue
    const label =
      counter === undefined ? labels.map((i) => row.cells[i] ?? '').join('') : (row.cells[counter] ?? '')
    const isCounted = counter === undefined ? !/\p{L}/u.test(label) : label === String(out.length + 1)
    if (isCounted) out.push(row)
    else if (counter !== undefined && /^\d+$/.test(label))
      problems.push(
        badRow(
          row.line,
          'Lap number',
          label,
          `is not the lap after ${out.length}`,
          'Put the laps in their order, without gaps.',
        ),
      )
    else if (row.cells.some((c) => !isNoLap(c)))
      problems.push(
        doubtfulRow(row.line, 'Lap number', label, 'is no lap', 'Left out. Number it if it is one.'),
      )
  }
  return out
}

function racerOfHeading(name: string): ListedRacer | null {
  const number = /^(?:car\s*)?(?:#|no\.?\s*|nr\.?\s*)?(\d{1,4})$/i.exec(name)
  if (number) return { driverName: '', carNumber: number[1] ?? '', transponder: '' }
  if (/^\d{5,8}$/.test(name)) return { driverName: '', carNumber: '', transponder: name }
  const both = /^#?(\d{1,4})[\s.,)–-]+(\p{L}.+)$/u.exec(name)
  if (both) return { driverName: both[2] ?? '', carNumber: both[1] ?? '', transponder: '' }
  return /\p{L}/u.test(name) ? { driverName: name, carNumber: '', transponder: '' } : null
}
