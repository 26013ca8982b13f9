import { checkNumber, checkObject } from '../check-number'
import { limits } from '../limits'

export interface Gearing {
  pinion: number
  spur: number
  /** Gearbox ratio behind the spur; 1 without a gearbox. */
  internalRatio: number
}

/**
 * Final drive ratio, motor turns per wheel turn: spur / pinion x internal ratio (ratio of a gear train: product of
 * driven over driving tooth counts, Shigley's Mechanical Engineering Design ch. 13, from memory).
 * @throws RangeProblem
 * @example finalDrive({ pinion: 31, spur: 72, internalRatio: 2.6 }) // 6.0387
 */
export function finalDrive(gearing: Gearing): number {
  const { pinion, spur, internalRatio } = checkObject('gearing', gearing)
  return (
    (checkNumber('spur', spur, limits.teeth) / checkNumber('pinion', pinion, limits.teeth)) *
    checkNumber('internalRatio', internalRatio, limits.ratio)
  )
}
