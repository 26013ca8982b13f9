import { nameKey } from '../board/fold-name'
import { compareCodes } from './match-cars'
import { badRow, doubtfulRow, type RowProblem } from '../tables/row-problem'
import type { ListedEntry, ListedHeat } from './running-order'

/**
 * Why a heat can't take this entry as well. Two people may share a name when their numbers or transponders differ, and two cars a number:
 * that is only doubtful. Null when all is well.
 */
export function repeatedEntry(heat: ListedHeat, entry: ListedEntry): RowProblem | null {
  const tagged = heat.entries.find((e) => compareCodes(e.transponder, entry.transponder) === 'same')
  if (tagged) return repeated(entry.line, 'Transponder', entry.transponder, tagged.line)
  const key = nameKey(entry.driverName)
  const named = heat.entries.filter((e) => nameKey(e.driverName) === key)
  const twin = named.find((e) => !isSomebodyElse(e, entry))
  if (twin) return repeated(entry.line, 'Driver name', entry.driverName, twin.line)
  const [namesake] = named
  if (namesake)
    return doubtfulRow(
      entry.line,
      'Driver name',
      entry.driverName,
      `is also on line ${namesake.line}, with another number or transponder`,
      'Imported as two people with the same name. If it is one person, delete one of the rows.',
    )
  const number = heat.entries.find((e) => compareCodes(e.carNumber, entry.carNumber) === 'same')
  return number
    ? doubtfulRow(
        entry.line,
        'Car number',
        entry.carNumber,
        `is also ${number.driverName}’s, on line ${number.line}`,
        'Check who has it.',
      )
    : null
}

const isSomebodyElse = (a: ListedEntry, b: ListedEntry): boolean =>
  compareCodes(a.transponder, b.transponder) === 'other' || compareCodes(a.carNumber, b.carNumber) === 'other'

const repeated = (line: number, field: string, value: string, first: number): RowProblem =>
  badRow(
    line,
    field,
    value,
    `is already in this heat, on line ${first}`,
    'Delete one of the two rows, or correct it.',
  )
