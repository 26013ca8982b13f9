import { checkNumber } from '../check-number'
import { radPerSecPerRpm } from '../constants'
import { limits } from '../limits'

/**
 * Torque constant Kt, Nm/A, which in SI equals the back-EMF constant, V s/rad: 60 / (2 pi Kv).
 * Source: maxon, "Formulae Handbook" (Kt x Kn = 30 000/pi in mNm/A and rpm/V), from memory.
 * @throws RangeProblem
 */
export function torqueConstant(kvRpmPerVolt: number): number {
  return 1 / (checkNumber('kvRpmPerVolt', kvRpmPerVolt, limits.kv) * radPerSecPerRpm)
}
