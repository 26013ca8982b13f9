import { nameKey } from '../board/fold-name'
import { badRow, doubtfulRow, type RowProblem } from './row-problem'
import type { ListedEntry, ListedHeat } from './running-order'

/** Why a heat can't take this entry as well; a car number that two racers carry is only doubtful. Null when all is well. */
export function repeatedEntry(heat: ListedHeat, entry: ListedEntry): RowProblem | null {
  const byTransponder = heat.entries.find(
    (e) => entry.transponder !== '' && e.transponder === entry.transponder,
  )
  const twin = byTransponder ?? heat.entries.find((e) => nameKey(e.driverName) === nameKey(entry.driverName))
  if (twin)
    return badRow(
      entry.line,
      byTransponder ? 'Transponder' : 'Driver name',
      byTransponder ? entry.transponder : entry.driverName,
      `is in this heat already, on line ${twin.line}`,
      'Delete one of the two rows, or correct it.',
    )
  const number = heat.entries.find((e) => entry.carNumber !== '' && e.carNumber === entry.carNumber)
  return number
    ? doubtfulRow(
        entry.line,
        'Car number',
        entry.carNumber,
        `is also ${number.driverName}’s, on line ${number.line}`,
        'Check which of them carries it.',
      )
    : null
}
