import { checkNumber } from '../check-number'
import { limits } from '../limits'
import { RangeProblem } from '../range-problem'
import { finalDrive } from './final-drive'
import { pairInSlot, type MountSlot } from './mount-slot'

export interface GearPairQuestion {
  pinions: readonly number[]
  spurs: readonly number[]
  internalRatio: number
  /** The final drive ratio that is wanted. */
  targetFinalDrive: number
  /** What is on the car now: the teeth that a change costs are counted from it. */
  fitted?: { pinion: number; spur: number }
  moduleMm?: number
  slot?: MountSlot
}

export interface RankedGearPair {
  pinion: number
  spur: number
  finalDrive: number
  /** Distance to the target as a share of it; positive is shorter gearing (higher ratio). */
  offTarget: number
  /** Teeth changed on pinion and spur together; 0 is what is fitted. Undefined when nothing is said to be fitted. */
  toothSteps?: number
  /** Undefined when no slot is given. */
  fits?: boolean
  centreMm?: number
}

/**
 * Every pair of the given gears, nearest to the target first; equal distances by fewer tooth steps, then by smaller spur.
 * @throws RangeProblem
 */
export function rankGearPairs(question: GearPairQuestion): RankedGearPair[] {
  const { pinions, spurs, internalRatio, targetFinalDrive, fitted, moduleMm, slot } = question
  checkNumber('targetFinalDrive', targetFinalDrive, limits.ratio)
  if (slot && moduleMm === undefined)
    throw new RangeProblem('moduleMm', moduleMm, 'given whenever a slot is given')
  const pairs = spurs.flatMap((spur) =>
    pinions.map((pinion): RankedGearPair => {
      const ratio = finalDrive({ pinion, spur, internalRatio })
      const inSlot = slot && moduleMm !== undefined ? pairInSlot({ pinion, spur, moduleMm }, slot) : undefined
      return {
        pinion,
        spur,
        finalDrive: ratio,
        offTarget: ratio / targetFinalDrive - 1,
        ...(fitted && { toothSteps: Math.abs(pinion - fitted.pinion) + Math.abs(spur - fitted.spur) }),
        ...(inSlot && { fits: inSlot.fits, centreMm: inSlot.centreMm }),
      }
    }),
  )
  return pairs.sort(
    (a, b) =>
      Math.abs(a.offTarget) - Math.abs(b.offTarget) ||
      (a.toothSteps ?? 0) - (b.toothSteps ?? 0) ||
      a.spur - b.spur,
  )
}
