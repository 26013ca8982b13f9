import { MOST_LAPS } from '../board'
import { parseLaps } from '../core/parse-laps'
import { badRow, doubtfulRow, type RowProblem, type TableRow } from '../tables'
import { LapSheet } from './lap-sheet'
import { isNobody, racerText, type ListedHeatName, type ListedLaps, type ListedRacer } from './listed'
import { isLap, type LapLayout } from './lap-layout'
import { lapOfHeading, type ListLayout } from './result-columns'
import { walkRows, type Cells } from './walk-rows'

interface Own {
  line: number
  racer: ListedRacer
  heat: ListedHeatName
  sheet: LapSheet
}

/** Lists whose rows name the racer: a row for each lap, or one with all of them. */
export function lapsByRow(
  rows: readonly TableRow[],
  layout: ListLayout,
  kind: Exclude<LapLayout, 'column-per-car'>,
  problems: RowProblem[],
): ListedLaps[] {
  if (kind === 'row-per-car' && !countsUp(layout, problems)) return []
  const of = new Map<string, Own>()
  for (const { row, cells, racer, heat } of walkRows(rows, layout, problems)) {
    if (isNobody(racer)) {
      problems.push(
        badRow(row.line, 'Driver', '', 'is missing', 'Enter name, number or transponder, or delete the row.'),
      )
      continue
    }
    if (kind === 'row-per-lap' && cells.lap && !/^\d+$/.test(cells.lap)) {
      problems.push(
        doubtfulRow(row.line, 'Lap number', cells.lap, 'is no lap', 'Left out. Number it if it is one.'),
      )
      continue
    }
    const key = JSON.stringify([racer, heat])
    let own = of.get(key)
    if (!own)
      of.set(key, (own = { line: row.line, racer, heat, sheet: new LapSheet(racerText(racer), problems) }))
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
    if (kind === 'row-per-lap') addLap(row.line, cells, own)
    else if (kind === 'row-per-car')
      row.cells.forEach((cell, i) => {
        if (lapOfHeading(layout.names[i] ?? '') !== null) own.sheet.add(row.line, cell)
      })
    else addAll(row, layout, cells, own.sheet)
  }
  return [...of.values()]
    .filter(({ sheet }) => !sheet.isSpoiled)
    .map(({ line, racer, heat, sheet }) => ({ line, racer, heat, laps: sheet.laps }))
}

/** Are the columns the laps from the first one on? A column that is missing would move the others. */
function countsUp({ headerLine, names }: ListLayout, problems: RowProblem[]): boolean {
  const laps = names.flatMap((n) => lapOfHeading(n) ?? [])
  const at = laps.findIndex((lap, i) => lap !== i + 1)
  if (at < 0) return true
  problems.push(
    badRow(
      headerLine ?? 1,
      'Lap number',
      `${laps[at]}`,
      at === 0 ? 'is not the first lap' : `is not the lap after ${laps[at - 1]}`,
      'Put the laps in their order, without gaps.',
    ),
  )
  return false
}

/** Lap numbers count up by one; a gap would move every lap below it. */
function addLap(line: number, cells: Cells, { sheet, racer }: Own): void {
  const next = sheet.rows + 1
  if (cells.lap !== undefined && Number(cells.lap) !== next && !sheet.isSpoiled)
    sheet.spoil(
      badRow(
        line,
        'Lap number',
        cells.lap,
        `is not the lap after ${next - 1} of ${racerText(racer)}`,
        'Put the laps of a car in their order, without gaps.',
      ),
    )
  sheet.add(line, cells.lapTime ?? cells.time ?? '')
}

function addAll({ line, cells: all }: TableRow, layout: ListLayout, cells: Cells, sheet: LapSheet): void {
  const cell =
    cells.allLaps ??
    all.find((c, i) => layout.roles[i] === 'ignore' && c.split(/[\s;]+/).filter(isLap).length >= 2) ??
    ''
  const { laps, problems } = parseLaps(cell, MOST_LAPS)
  for (const p of problems) sheet.spoil({ ...p, field: 'Laps', line, severity: 'bad' })
  sheet.laps.push(...laps)
}
