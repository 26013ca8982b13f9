import { checkNumber, checkObject } from '../check-number'
import { limits } from '../limits'

/**
 * Car speed in m/s at a motor speed: rpm / 60 x rollout (no slip).
 * @throws RangeProblem
 * @example speedAtRpm({ rpm: 30000, rolloutMm: 43.18 }) // 21.59 m/s
 */
export function speedAtRpm(input: { rpm: number; rolloutMm: number }): number {
  const { rpm, rolloutMm } = checkObject('speed', input)
  return (
    ((checkNumber('rpm', rpm, limits.rpm) / 60) *
      checkNumber('rolloutMm', rolloutMm, { min: 0, max: 1e6, above: true, unit: 'mm' })) /
    1000
  )
}
