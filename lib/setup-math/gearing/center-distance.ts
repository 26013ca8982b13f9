import { checkNumber, checkObject } from '../check-number'
import { limits } from '../limits'

/**
 * Center distance of a spur gear pair without profile shift, mm: m (z1 + z2) / 2 (standard center distance, ISO 21771-1).
 * @throws RangeProblem
 * @example centreDistance({ moduleMm: 0.5, pinion: 31, spur: 72 }) // 25.75 mm
 */
export function centreDistance(input: { moduleMm: number; pinion: number; spur: number }): number {
  const { moduleMm, pinion, spur } = checkObject('gears', input)
  return (
    (checkNumber('moduleMm', moduleMm, { min: 0, max: 25, above: true, unit: 'mm' }) *
      (checkNumber('pinion', pinion, limits.teeth) + checkNumber('spur', spur, limits.teeth))) /
    2
  )
}
