import { MOST_LAPS } from '../board'
import { readSeconds } from '../core/read-seconds'
import { badRow, type RowProblem, type TableRow } from '../tables'
import { isNobody, racerText, type ListedHeatName, type ListedLaps, type ListedRacer } from './listed'
import { lapOfHeading, roleOfHeading, type ListLayout } from './result-columns'
import { walkRows } from './walk-rows'

/** How a lap list is laid out. */
export const LAP_LAYOUTS = ['column-per-car', 'row-per-lap', 'row-per-car', 'one-cell'] as const
export type LapLayout = (typeof LAP_LAYOUTS)[number]
export const LAP_LAYOUT_NAMES: Readonly<Record<LapLayout, string>> = {
  'column-per-car': 'A column for each car',
  'row-per-lap': 'A row for each lap of a car',
  'row-per-car': 'A row for each car, a column for each lap',
  'one-cell': 'A row for each car, all laps in one cell',
}

const isLap = (text: string): boolean => {
  const s = readSeconds(text)
  return s !== null && s >= 1 && s <= 3600 && /[.:,]/.test(text)
}
/** How the list at hand is laid out, by its header and what is in it. */
export function guessLapLayout(rows: readonly TableRow[], layout: ListLayout): LapLayout {
  if (layout.roles.includes('lapTime') || (layout.roles.includes('lap') && layout.roles.includes('time')))
    return 'row-per-lap'
  if (layout.roles.includes('allLaps')) return 'one-cell'
  const numbered = layout.names.filter((n) => lapOfHeading(n) !== null).length
  if (layout.headerLine !== null && numbered >= 3 && namesRacer(layout)) return 'row-per-car'
  const body = rows.slice(0, 100)
  const crowded = body.filter((r) => r.cells.some((c) => c.split(/[\s;]+/).filter(isLap).length >= 3))
  if (crowded.length > body.length / 3) return 'one-cell'
  return 'column-per-car'
}

const namesRacer = ({ roles }: ListLayout): boolean =>
  roles.some((r) => ['driver', 'familyName', 'carNumber', 'transponder'].includes(r))

/** Every racer's laps in a list, and what is wrong with it. */
export function readLapList(
  rows: readonly TableRow[],
  layout: ListLayout,
  kind: LapLayout,
): { laps: ListedLaps[]; problems: RowProblem[] } {
  const problems: RowProblem[] = []
  const laps =
    kind === 'column-per-car' ? lapsByColumn(rows, problems) : lapsByRow(rows, layout, kind, problems)
  for (const l of laps)
    if (l.laps.length > MOST_LAPS)
      problems.push(
        badRow(l.line, 'Laps', `${l.laps.length}`, 'are too many for one run', `Up to ${MOST_LAPS} laps.`),
      )
  return { laps: laps.filter((l) => l.laps.length > 0 && l.laps.length <= MOST_LAPS), problems }
}

function readLap(line: number, text: string, problems: RowProblem[]): number | null {
  const seconds = readSeconds(text)
  if (seconds === null || seconds < 1 || seconds > 3600) {
    problems.push(
      badRow(
        line,
        'Lap time',
        text.slice(0, 40),
        seconds === null ? 'is not a lap time' : 'is out of range',
        'Write seconds or minutes, as in 22.41 or 1:02.410.',
      ),
    )
    return null
  }
  return seconds
}

/** What says nothing: a lap that was not driven. */
const isBlank = (cell: string): boolean => cell === '' || /^[-–.]+$/.test(cell)

/** A row per lap, the racers in the header: by name, `#14`, `14` or transponder. The first row that is no lap is the header. */
function lapsByColumn(rows: readonly TableRow[], problems: RowProblem[]): ListedLaps[] {
  const firstLap = rows.findIndex((r) => r.cells.some(isLap))
  const headers = rows.slice(0, Math.max(0, firstLap))
  const header = headers.at(-1)
  if (!header || firstLap < 0) {
    const line = rows[0]?.line ?? 1
    problems.push(
      badRow(
        line,
        'Header',
        '',
        'does not name the cars',
        'Put names, numbers or transponders above the laps.',
      ),
    )
    return []
  }
  const first = rows[firstLap]
  // A column of lap numbers counts up by one and names nobody.
  const isCounter = (i: number) =>
    rows.slice(firstLap).every((r, n) => isBlank(r.cells[i] ?? '') || r.cells[i] === String(n + 1)) &&
    (first?.cells[i] ?? '') === '1'
  const out: ListedLaps[] = []
  header.cells.forEach((name, i) => {
    if (name === '' || isCounter(i) || roleOfHeading(name) === 'lap') return
    const racer = racerOfHeading(name)
    if (!racer) return
    out.push({ line: header.line, racer, heat: NO_HEAT, laps: [] })
    const own = out.at(-1)
    let ended: number | null = null
    for (const row of rows.slice(firstLap)) {
      const cell = row.cells[i] ?? ''
      if (isBlank(cell)) {
        ended ??= row.line
        continue
      }
      const seconds = readLap(row.line, cell, problems)
      if (ended !== null && seconds !== null) {
        problems.push(
          badRow(
            ended,
            'Lap time',
            '',
            `is missing for ${name}`,
            `Enter the lap, or delete the ones below it.`,
          ),
        )
        ended = null
      }
      if (seconds !== null) own?.laps.push(seconds)
    }
  })
  return dropSpoiled(out, problems)
}

const NO_HEAT: ListedHeatName = { number: null, round: '', classText: '' }

/** Somebody's laps with a hole in them are nobody's: a list that was only read in part is left out whole. */
function dropSpoiled(out: ListedLaps[], problems: RowProblem[]): ListedLaps[] {
  return problems.length > 0 ? [] : out
}

function racerOfHeading(name: string): ListedRacer | null {
  const number = /^(?:car\s*)?(?:#|no\.?\s*|nr\.?\s*)?(\d{1,4})$/i.exec(name)
  if (number) return { driverName: '', carNumber: number[1] ?? '', transponder: '' }
  if (/^\d{5,8}$/.test(name)) return { driverName: '', carNumber: '', transponder: name }
  const both = /^#?(\d{1,4})[\s.,)–-]+(\p{L}.+)$/u.exec(name)
  if (both) return { driverName: both[2] ?? '', carNumber: both[1] ?? '', transponder: '' }
  return /\p{L}/u.test(name) ? { driverName: name, carNumber: '', transponder: '' } : null
}

function lapsByRow(
  rows: readonly TableRow[],
  layout: ListLayout,
  kind: LapLayout,
  problems: RowProblem[],
): ListedLaps[] {
  const of = new Map<string, ListedLaps & { spoiled: boolean; next: number }>()
  for (const { row, cells, racer, heat } of walkRows(rows, layout, problems)) {
    if (isNobody(racer)) {
      problems.push(
        badRow(row.line, 'Driver', '', 'is missing', 'Enter name, number or transponder, or delete the row.'),
      )
      continue
    }
    const key = JSON.stringify([racer, heat])
    let own = of.get(key)
    if (!own) of.set(key, (own = { line: row.line, racer, heat, laps: [], spoiled: false, next: 1 }))
    else if (kind !== 'row-per-lap') {
      problems.push(
        badRow(
          row.line,
          'Driver',
          racerText(racer),
          `is listed twice: line ${own.line} has it too`,
          'Delete one row.',
        ),
      )
      continue
    }
    for (const text of cellsWithLaps(row, layout, kind, cells)) {
      const seconds = readLap(row.line, text, problems)
      if (seconds === null) own.spoiled = true
      else own.laps.push(seconds)
    }
    if (kind === 'row-per-lap') checkLapNumber(row.line, cells.lap, own, problems)
  }
  return [...of.values()]
    .filter((l) => !l.spoiled)
    .map(({ line, racer, heat, laps }) => ({ line, racer, heat, laps }))
}

/** Lap numbers count up by one; a gap would move every lap below it. */
function checkLapNumber(
  line: number,
  text: string | undefined,
  own: { spoiled: boolean; next: number; racer: ListedRacer },
  problems: RowProblem[],
): void {
  const number = text === undefined ? own.next : /^\d{1,3}$/.test(text) ? Number(text) : null
  if (number !== own.next && !own.spoiled) {
    own.spoiled = true
    problems.push(
      badRow(
        line,
        'Lap number',
        text ?? '',
        `is not the lap after ${own.next - 1} of ${racerText(own.racer)}`,
        'Put the laps of a car in their order, without gaps.',
      ),
    )
  }
  own.next = (number ?? own.next) + 1
}

function cellsWithLaps(
  row: TableRow,
  layout: ListLayout,
  kind: LapLayout,
  cells: { lapTime?: string; time?: string; allLaps?: string },
): string[] {
  if (kind === 'row-per-lap') return [cells.lapTime ?? cells.time ?? ''].filter((c) => !isBlank(c))
  if (kind === 'row-per-car')
    return row.cells.filter((c, i) => lapOfHeading(layout.names[i] ?? '') !== null && !isBlank(c))
  const cell =
    cells.allLaps ??
    row.cells.find((c, i) => layout.roles[i] === 'ignore' && c.split(/[\s;]+/).filter(isLap).length >= 2) ??
    ''
  return cell
    .replace(/\(?\b\d{1,3}\)\s+/g, ' ')
    .split(/[\s;/|]+/)
    .map((c) => c.replace(/,$/, ''))
    .filter((c) => !isBlank(c))
}
