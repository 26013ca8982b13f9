import type { ColumnLayout, ColumnRole, RowCells } from './columns'
import type { Table, TableRow } from '../tables/read-table'
import { RowReader } from './row-reader'
import { readHeatName, readSectionLine } from './section-line'
import { fold } from '../board/fold-name'
import type { ReadingChoices, RunningOrder } from './running-order'
import { badRow } from '../tables/row-problem'

/**
 * Understands a table as a running order. Every row that can't be read is named by its line; nothing is guessed silently. Cells that
 * merged headings leave blank (heat, class, round, time) hold the value above them.
 */
export function readRunningOrder(table: Table, layout: ColumnLayout, choices: ReadingChoices): RunningOrder {
  const firstHeader = layout.headerLines[0] ?? 0
  const header = new Set(layout.headerLines)
  const body = table.rows.filter((r) => r.line > firstHeader && !header.has(r.line))
  const titles = table.rows.filter((r) => r.line < firstHeader)
  const headerTexts = new Set(table.rows.filter((r) => header.has(r.line)).map(rowText))
  const reader = new RowReader(choices)
  const lostRows = [...table.problems]

  const sections = titles.map((row) => readSectionLine(joined(row), choices.dateOrder))
  // Where each heat has a header of its own, the first heat's heading stands above all of them.
  const first = body[0]
  const isOpen = first && !layout.roles.includes('heat') && !sectionOf(first, layout, choices)
  const opening = isOpen ? sections.findLastIndex((s) => s?.kind === 'heat') : -1
  for (const [i, row] of titles.entries()) {
    const section = sections[i]
    if (section && i === opening) reader.section(row.line, section, joined(row))
    else if (section) reader.title(section)
  }
  for (const row of body) {
    for (let lost = lostRows[0]; lost && lost.line < row.line; lost = lostRows[0]) {
      reader.lost(lost)
      lostRows.shift()
    }
    // Long lists print the header again on each page, or under each heat.
    if (headerTexts.has(rowText(row))) continue
    const section = sectionOf(row, layout, choices)
    if (section) reader.section(row.line, section, joined(row))
    else if (extraCells(row, layout).some((c) => c !== ''))
      reader.lost(
        badRow(
          row.line,
          'Columns',
          shortened(joined(row)),
          `has ${lastFilled(row) + 1} cells where the header has ${namedWidth(layout)}`,
          'Put cells that contain a delimiter in quotation marks.',
        ),
      )
    else reader.row(row, cellsByRole(row, layout.roles))
  }
  for (const problem of lostRows) reader.lost(problem)
  return {
    ...reader.finish(),
    titleLines: titles.map((r) => r.line),
    rowCount: body.length,
  }
}

function cellsByRole(row: TableRow, roles: readonly ColumnRole[]): RowCells {
  const cells: RowCells = {}
  roles.forEach((role, i) => {
    if (role !== 'ignore') cells[role] = row.cells[i] ?? ''
  })
  return cells
}

const shortened = (s: string) => (s.length > 60 ? `${s.slice(0, 59)}…` : s)
const rowText = (row: TableRow) => row.cells.map(fold).join('|')
const joined = (row: TableRow) => row.cells.filter((c) => c !== '').join(' – ')
const lastFilled = (row: TableRow) => row.cells.findLastIndex((c) => c !== '')
const namedWidth = (layout: ColumnLayout) =>
  layout.names.findLastIndex((n, i) => n !== '' || layout.roles[i] !== 'ignore') + 1

/** Cells to the right of the last column that the header names. */
const extraCells = (row: TableRow, layout: ColumnLayout): string[] =>
  layout.headerLines.length === 0 ? [] : row.cells.slice(namedWidth(layout))

/**
 * Is this row a line between the rows? It fills a few cells only, its text reads as a heat, a round, a day or a break, and the cells that
 * a racer's row needs are blank.
 */
function sectionOf(row: TableRow, layout: ColumnLayout, choices: ReadingChoices) {
  const filled = row.cells.flatMap((c, i) => (c === '' ? [] : [i]))
  if (filled.length === 0 || filled.length > 4) return null
  const racer: ColumnRole[] = ['driver', 'givenName', 'familyName', 'carNumber', 'transponder']
  const first = filled[0] ?? 0
  const inRacerCells = filled.filter((i) => i !== first && racer.includes(layout.roles[i] ?? 'ignore'))
  const section = readSectionLine(joined(row), choices.dateOrder)
  if (!section) return null
  const firstRole = layout.roles[first] ?? 'ignore'
  const alone = filled.length === 1
  if (alone) {
    // A lone number in the heat column is a row with its other cells missing, not a heading.
    const plainHeat = firstRole === 'heat' && /^\d+$/.test(row.cells[first] ?? '')
    return plainHeat ? null : section
  }
  // With racer cells filled, only a heading that overflows its columns may pass: its first cell alone names the heat or break.
  if (inRacerCells.length > 0) {
    const head = readSectionLine(row.cells[first] ?? '', choices.dateOrder)
    const looksLikeRacer = filled.some((i) => /^\d{5,8}$/.test(row.cells[i] ?? ''))
    return head && !looksLikeRacer && firstRole !== 'heat' ? section : null
  }
  const isPlainCell = firstRole === 'heat' && readHeatName(row.cells[first] ?? '') !== null
  return isPlainCell && section.kind === 'heat' ? null : section
}
