import { checkNumber, checkObject } from '../check-number'
import { limits } from '../limits'

/** Kilograms above the class minimum (negative: too light), and whether a scale that may read low by its tolerance passes it. */
export function weightMargin(input: { massKg: number; minimumKg: number; scaleToleranceKg?: number }): {
  marginKg: number
  passes: boolean
  surelyPasses: boolean
} {
  checkObject('weights', input)
  const marginKg =
    checkNumber('massKg', input.massKg, limits.mass) -
    checkNumber('minimumKg', input.minimumKg, { min: 0, max: 1e4, unit: 'kg' })
  const tolerance = checkNumber('scaleToleranceKg', input.scaleToleranceKg ?? 0, {
    min: 0,
    max: 10,
    unit: 'kg',
  })
  return { marginKg, passes: marginKg >= 0, surelyPasses: marginKg >= tolerance }
}
