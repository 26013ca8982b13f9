import { checkNumber, checkObject } from '../check-number'
import { limits } from '../limits'

/** Timing that comes in after full throttle was held for `delayS`, by `rampDegPerS` up to `degrees`; gone on lift. */
export interface Turbo {
  degrees: number
  delayS: number
  rampDegPerS: number
}

/** @throws RangeProblem */
export function checkTurbo(turbo: Turbo): Turbo {
  checkObject('controller.turbo', turbo)
  checkNumber('controller.turbo.degrees', turbo.degrees, limits.degrees)
  checkNumber('controller.turbo.delayS', turbo.delayS, { min: 0, max: 10, unit: 's' })
  checkNumber('controller.turbo.rampDegPerS', turbo.rampDegPerS, {
    min: 0.1,
    max: 1e5,
    unit: 'degrees per s',
  })
  return turbo
}

/** Degrees added after `heldS` seconds at full throttle. Common practice, no source. @throws RangeProblem */
export function turboDegrees(turbo: Turbo, heldS: number): number {
  const { degrees, delayS, rampDegPerS } = checkTurbo(turbo)
  return Math.min(degrees, Math.max(0, (checkNumber('heldS', heldS, limits.seconds) - delayS) * rampDegPerS))
}
