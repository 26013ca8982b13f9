import { checkNumber } from '../check-number'

/**
 * Gear module in mm from diametral pitch (teeth per inch of pitch diameter): 25.4 / DP. ISO 54 module; AGMA diametral pitch.
 * @throws RangeProblem
 * @example moduleFromDiametralPitch(48) // 0.5292 mm
 */
export function moduleFromDiametralPitch(diametralPitch: number): number {
  return 25.4 / checkNumber('diametralPitch', diametralPitch, { min: 1, max: 1000, unit: 'per inch' })
}
