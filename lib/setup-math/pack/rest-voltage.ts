import { checkNumber } from '../check-number'
import { RangeProblem } from '../range-problem'

/** Pairs [state of charge 0..1, volts per cell]: charge rising, voltage rising (level stretches are taken too). */
export type RestVoltageTable = readonly (readonly [number, number])[]

/** @throws RangeProblem naming the first row at fault */
export function checkRestVoltageTable(table: RestVoltageTable, name = 'restVoltageTable'): RestVoltageTable {
  if (!Array.isArray(table) || table.length < 2) throw new RangeProblem(name, table, 'two rows or more')
  table.forEach((row, i) => {
    if (!Array.isArray(row))
      throw new RangeProblem(`${name}[${i}]`, row, 'a pair of state of charge and volts')
    checkNumber(`${name}[${i}][0]`, row[0], { min: 0, max: 1 })
    checkNumber(`${name}[${i}][1]`, row[1], { min: 0, max: 10, above: true, unit: 'V per cell' })
    const before = table[i - 1]
    if (before && row[0] <= before[0])
      throw new RangeProblem(`${name}[${i}][0]`, row[0], `above the row before (${before[0]})`)
    if (before && row[1] < before[1])
      throw new RangeProblem(`${name}[${i}][1]`, row[1], `not below the row before (${before[1]})`)
  })
  return table
}

/** Index of the stretch [i, i + 1] of a sorted table that holds x; the first or last one outside. */
export function stretchAt(table: RestVoltageTable, x: number, column: 0 | 1): number {
  let i = 0
  while (i < table.length - 2 && x > (table[i + 1]?.[column] ?? Infinity)) i++
  return i
}

/**
 * Rest (open-circuit) voltage of one cell, V, linear between the table's rows.
 * @throws RangeProblem when the state of charge lies outside the table
 */
export function restVoltage(table: RestVoltageTable, stateOfCharge: number): number {
  checkRestVoltageTable(table)
  const [lo, hi] = [table[0]?.[0] ?? 0, table.at(-1)?.[0] ?? 1]
  const x = checkNumber('stateOfCharge', stateOfCharge, { min: lo, max: hi })
  return interpolate(table, x, 0, 1)
}

/**
 * State of charge (0..1) of a rested cell from its voltage, linear between the table's rows. Linear reading of a 5% table is
 * good to about 0.3 points of charge against the curve it was sampled from; a cell that has not rested reads wrong by far more.
 * @throws RangeProblem when the voltage lies outside the table
 */
export function stateOfChargeAtRest(table: RestVoltageTable, voltsPerCell: number): number {
  checkRestVoltageTable(table)
  const [lo, hi] = [table[0]?.[1] ?? 0, table.at(-1)?.[1] ?? 0]
  const v = checkNumber('voltsPerCell', voltsPerCell, { min: lo, max: hi, unit: 'V per cell' })
  return interpolate(table, v, 1, 0)
}

/** Rest voltage from a checked table, its ends held outside it: for inner loops. */
export const readTable = (table: RestVoltageTable, stateOfCharge: number): number =>
  interpolate(table, Math.min(table.at(-1)?.[0] ?? 1, Math.max(table[0]?.[0] ?? 0, stateOfCharge)), 0, 1)

function interpolate(table: RestVoltageTable, x: number, from: 0 | 1, to: 0 | 1): number {
  const i = stretchAt(table, x, from)
  const [a, b] = [table[i], table[i + 1]]
  if (!a || !b) throw new RangeProblem('restVoltageTable', table, 'two rows or more')
  const width = b[from] - a[from]
  return width === 0 ? a[to] : a[to] + ((b[to] - a[to]) * (x - a[from])) / width
}
