import { checkNumber, checkObject, checkOptional } from '../check-number'
import { limits } from '../limits'
import { RangeProblem } from '../range-problem'
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
}

/** @throws RangeProblem */
export function checkPack(pack: Pack): Required<Pack> {
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
  }
}
