import { checkNumber, checkObject, checkOptional } from '../check-number'
import { limits } from '../limits'
import { RangeProblem } from '../range-problem'
import type { SlowSag } from './slow-sag'
import { checkRestVoltageTable, type RestVoltageTable } from './rest-voltage'

export interface Pack {
  /** Cells in series. */
  cells: number
  capacityAh: number
  /** Whole pack with its leads, ohm, at the temperature of the run. */
  resistanceOhm: number
  /** 0..1; full when absent. */
  stateOfCharge?: number
  restVoltageTable: RestVoltageTable
  /** Two pairs of resistor and capacitor behind the ohmic resistance; none when absent. */
  slowSag?: readonly SlowSag[]
  /** Of the pack at the start, and of the reading of its resistance, °C; resistance as read when either is absent. */
  temperatureC?: number
  resistanceReadAtC?: number
  /** Heat capacity, J/K: the pack warms by its own loss. Absent: it does not. */
  heatCapacityJPerK?: number
}

/** A checked pack: what is always there filled in. */
export type CheckedPack = Pack & Required<Pick<Pack, 'resistanceOhm' | 'stateOfCharge'>>

/** @throws RangeProblem */
export function checkPack(pack: Pack): CheckedPack {
  checkObject('pack', pack)
  const restVoltageTable = checkRestVoltageTable(pack.restVoltageTable, 'pack.restVoltageTable')
  const stateOfCharge = checkOptional(
    'pack.stateOfCharge',
    pack.stateOfCharge,
    limits.share,
    restVoltageTable.at(-1)?.[0] ?? 1,
  )
  const [lo, hi] = [restVoltageTable[0]?.[0] ?? 0, restVoltageTable.at(-1)?.[0] ?? 1]
  if (stateOfCharge < lo || stateOfCharge > hi) {
    throw new RangeProblem('pack.stateOfCharge', stateOfCharge, `within the pack's table, ${lo} to ${hi}`)
  }
  return {
    cells: checkNumber('pack.cells', pack.cells, limits.cells),
    capacityAh: checkNumber('pack.capacityAh', pack.capacityAh, limits.capacity),
    resistanceOhm: checkOptional('pack.resistanceOhm', pack.resistanceOhm, limits.resistance, 0),
    stateOfCharge,
    restVoltageTable,
    ...(pack.slowSag && {
      slowSag: pack.slowSag.slice(0, 2).map((pair, i) => ({
        ohm: checkNumber(`pack.slowSag[${i}].ohm`, pair.ohm, limits.resistance),
        seconds: checkNumber(`pack.slowSag[${i}].seconds`, pair.seconds, { min: 0.5, max: 1e5, unit: 's' }),
      })),
    }),
    ...(pack.temperatureC !== undefined && {
      temperatureC: checkNumber('pack.temperatureC', pack.temperatureC, packC),
    }),
    ...(pack.resistanceReadAtC !== undefined && {
      resistanceReadAtC: checkNumber('pack.resistanceReadAtC', pack.resistanceReadAtC, packC),
    }),
    ...(pack.heatCapacityJPerK !== undefined && {
      heatCapacityJPerK: checkNumber('pack.heatCapacityJPerK', pack.heatCapacityJPerK, {
        min: 1,
        max: 1e6,
        unit: 'J/K',
      }),
    }),
  }
}

const packC = { min: -30, max: 80, unit: '°C' }
