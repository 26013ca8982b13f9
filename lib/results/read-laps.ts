import { MOST_LAPS } from '../board'
import { badRow, type RowProblem, type TableRow } from '../tables'
import type { LapLayout } from './lap-layout'
import { lapsByColumn } from './laps-by-column'
import { lapsByRow } from './laps-by-row'
import type { ListedLaps } from './listed'
import type { ListLayout } from './result-columns'

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
