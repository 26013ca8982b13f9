import { fold } from '../board/fold-name'
import type { RowCells } from './columns'
import { badRow, type RowProblem } from '../tables/row-problem'
import type { ListedEntry } from './running-order'

const hasControl = (s: string) => [...s].some((c) => (c.codePointAt(0) ?? 0) < 32)

/** One racer from a row's cells; null when the row names nobody. What is wrong goes to `reject`. */
export function readEntry(
  line: number,
  cells: RowCells,
  reject: (p: RowProblem) => void,
): ListedEntry | null {
  const driverName =
    cells.driver || [cells.givenName, cells.familyName].filter((n) => n !== undefined && n !== '').join(' ')
  const bad = (field: string, value: string, reason: string, remedy: string) =>
    reject(badRow(line, field, value, reason, remedy))
  if (driverName !== '' && fold(driverName).replace(/[\d ]/g, '') === '')
    bad('Driver name', driverName, 'is not a name', 'Check which column holds the names.')
  if (driverName.length > 80)
    bad('Driver name', `${driverName.slice(0, 40)}…`, 'is longer than 80 characters', 'Shorten it.')
  if (hasControl(driverName))
    bad('Driver name', printable(driverName), 'has control characters', 'Type the name again.')

  const carNumber = cells.carNumber ?? ''
  if (carNumber.length > 12)
    bad(
      'Car number',
      carNumber.slice(0, 20),
      'is longer than 12 characters',
      'Check which column holds the car numbers.',
    )
  const transponder = cells.transponder ?? ''
  checkTransponder(transponder, bad)

  let gridPosition: number | null = null
  if (cells.grid) {
    const grid = /^(?:p|pos\.?|grid)?\s*(\d{1,3})\.?$/i.exec(cells.grid)
    gridPosition = grid ? Number(grid[1]) : null
    if (gridPosition === null || gridPosition < 1 || gridPosition > 100)
      bad(
        'Grid position',
        cells.grid,
        'is not a place from 1 to 100',
        'Enter a number from 1 to 100, or leave it blank.',
      )
  }
  return driverName === '' ? null : { line, driverName, carNumber, transponder, gridPosition }
}

function checkTransponder(
  transponder: string,
  bad: (field: string, value: string, reason: string, remedy: string) => void,
): void {
  if (transponder === '') return
  if (/^\d[.,]\d*e\+?\d+$/i.test(transponder))
    bad(
      'Transponder',
      transponder,
      'was rounded by a spreadsheet; the last digits are lost',
      'Format the column as text in the spreadsheet, enter the number again and export again.',
    )
  else if (!/^[A-Za-z0-9-]{1,24}$/.test(transponder))
    bad(
      'Transponder',
      transponder.slice(0, 30),
      'is not a transponder number',
      'Enter digits only, without spaces or signs.',
    )
}

const printable = (s: string) => [...s].map((c) => ((c.codePointAt(0) ?? 0) < 32 ? '�' : c)).join('')
