import { checkNumber, checkObject } from '../check-number'
import { limits } from '../limits'
import { RangeProblem } from '../range-problem'

/** Timing that the controller adds by motor speed: none below `startRpm`, all of it from `endRpm` on, linear between. */
export interface Boost {
  degrees: number
  startRpm: number
  endRpm: number
}

/** @throws RangeProblem */
export function checkBoost(boost: Boost): Boost {
  checkObject('controller.boost', boost)
  checkNumber('controller.boost.degrees', boost.degrees, limits.degrees)
  checkNumber('controller.boost.startRpm', boost.startRpm, limits.rpm)
  checkNumber('controller.boost.endRpm', boost.endRpm, limits.rpm)
  if (boost.endRpm <= boost.startRpm) {
    throw new RangeProblem('controller.boost.endRpm', boost.endRpm, `above startRpm (${boost.startRpm})`)
  }
  return boost
}

/** Degrees added at a motor speed. Common practice, no source (how controllers with dynamic timing are set). */
export function boostDegrees(boost: Boost, rpm: number): number {
  const { degrees, startRpm, endRpm } = checkBoost(boost)
  const share = (checkNumber('rpm', rpm, limits.rpm) - startRpm) / (endRpm - startRpm)
  return degrees * Math.min(1, Math.max(0, share))
}
