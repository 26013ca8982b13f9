import { checkNumber, checkObject } from '../check-number'
import { limits } from '../limits'

/** Does the cutoff act at this pack voltage under load? Common practice, no source: it compares volts per cell. @throws RangeProblem */
export function cutoffActs(input: {
  packVoltageV: number
  cells: number
  cutoffVoltsPerCell: number
}): boolean {
  checkObject('cutoff', input)
  return (
    checkNumber('packVoltageV', input.packVoltageV, { min: 0, max: 1000, unit: 'V' }) <
    checkNumber('cells', input.cells, limits.cells) *
      checkNumber('cutoffVoltsPerCell', input.cutoffVoltsPerCell, limits.cellVoltage)
  )
}
