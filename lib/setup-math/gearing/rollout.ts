import { checkNumber, checkObject } from '../check-number'
import { limits } from '../limits'

/**
 * Rollout, mm of travel per motor turn: pi x tire diameter / final drive ratio (geometry of a wheel rolling without slip).
 * @throws RangeProblem
 * @example rollout({ tireDiameterMm: 83, finalDrive: 6.0387 }) // 43.18 mm
 */
export function rollout(input: { tireDiameterMm: number; finalDrive: number }): number {
  const { tireDiameterMm, finalDrive } = checkObject('rollout', input)
  return (
    (Math.PI * checkNumber('tireDiameterMm', tireDiameterMm, limits.tireDiameterMm)) /
    checkNumber('finalDrive', finalDrive, { min: 1e-3, max: 1e6 })
  )
}
