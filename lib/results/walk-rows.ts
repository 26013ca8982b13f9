import { readHeatName, readSectionLine } from '../running-order/section-line'
import { badRow, type RowProblem, type TableRow } from '../tables'
import { headingOf, NO_HEAT, type ListedHeatName, type ListedRacer } from './listed'
import type { ListLayout, ListRole } from './result-columns'

export type Cells = Partial<Record<Exclude<ListRole, 'ignore'>, string>>

export interface WalkedRow {
  row: TableRow
  cells: Cells
  racer: ListedRacer
  heat: ListedHeatName
}

/** Goes down the rows below the header, keeping what headings and blank cells say for the rows below. */
export function* walkRows(
  rows: readonly TableRow[],
  layout: ListLayout,
  problems: RowProblem[],
): Generator<WalkedRow> {
  let heat = NO_HEAT
  for (const row of rows) {
    const isAbove = layout.headerLine !== null && row.line < layout.headerLine
    if (row.line === layout.headerLine || isRepeat(row, layout)) continue
    const filled = row.cells.filter((c) => c !== '')
    if (filled.length <= 2 || isAbove) {
      const section = readSectionLine(filled.join(' – '))
      if (section?.kind === 'heat' || section?.kind === 'round') {
        heat = headingOf(section, heat.round)
        continue
      }
      if (isAbove || section) continue
    }
    const cells = cellsOf(row, layout)
    let number = heat.number
    let round = cells.round ?? heat.round
    if (cells.heat) {
      const name = readHeatName(cells.heat)
      if (!name) {
        problems.push(
          badRow(
            row.line,
            'Heat number',
            cells.heat.slice(0, 40),
            'is not a heat',
            'Write it like 5 or Heat 5.',
          ),
        )
        continue
      }
      number = name.number
      round = name.round ?? round
    }
    heat = { ...heat, number, round, classText: cells.class ?? heat.classText }
    yield { row, cells, racer: racerOf(cells), heat }
  }
}

function cellsOf(row: TableRow, layout: ListLayout): Cells {
  const cells: Cells = {}
  layout.roles.forEach((role, i) => {
    const cell = row.cells[i] ?? ''
    if (role !== 'ignore' && cell !== '') cells[role] = cell
  })
  return cells
}

const racerOf = (cells: Cells): ListedRacer => ({
  driverName: cells.driver ?? [cells.givenName, cells.familyName].filter(Boolean).join(' '),
  carNumber: cells.carNumber ?? '',
  transponder: cells.transponder ?? '',
})

/** Printouts repeat their header on every page. */
const isRepeat = (row: TableRow, { headerLine, names }: ListLayout): boolean =>
  headerLine !== null && row.line > headerLine && names.every((n, i) => (row.cells[i] ?? '') === n)
