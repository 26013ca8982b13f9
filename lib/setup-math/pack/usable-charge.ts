import { checkNumber, checkObject } from '../check-number'
import { limits } from '../limits'
import { checkPack, type Pack } from './pack'
import { stretchAt } from './rest-voltage'

/**
 * Charge in Ah that the pack gives from its state of charge until its voltage under a steady load falls to the floor (whole pack,
 * V). 0 when the load pulls it below the floor at once. Rest voltage minus I R; linear table.
 * @throws RangeProblem
 * @example usableCharge(pack, { loadA: 60, floorV: 6.4 })
 */
export function usableCharge(pack: Pack, load: { loadA: number; floorV: number }): number {
  const { loadA, floorV } = checkObject('load', load)
  const p = checkPack(pack)
  const amps = checkNumber('loadA', loadA, limits.current)
  const floor = checkNumber('floorV', floorV, { min: 0, max: 1000, unit: 'V' })
  const table = p.restVoltageTable
  const restAtFloor = (floor + amps * p.resistanceOhm) / p.cells
  const [first, last] = [table[0], table.at(-1)]
  if (!first || !last) return 0
  if (restAtFloor > last[1]) return 0
  let socAtFloor = first[0]
  if (restAtFloor > first[1]) {
    const i = stretchAt(table, restAtFloor, 1)
    const [a, b] = [table[i] ?? first, table[i + 1] ?? last]
    socAtFloor = b[1] === a[1] ? a[0] : a[0] + ((b[0] - a[0]) * (restAtFloor - a[1])) / (b[1] - a[1])
  }
  return Math.max(0, p.stateOfCharge - socAtFloor) * p.capacityAh
}
