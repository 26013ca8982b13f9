import { checkNumber } from '../check-number'
import { limits } from '../limits'

/** What sets a car's speed on the long straight, at the same load share. */
export interface SpeedBasis {
  kvRpmPerVolt: number
  voltageV: number
  tireDiameterMm: number
}

/**
 * The final drive ratio that keeps the car's speed after a motor, pack or tire change: speed ~ Kv V D / FDR, so
 * FDR' = FDR x (Kv' V' D') / (Kv V D) (no-load speed law of the permanent-magnet motor and rolling without slip).
 * @throws RangeProblem
 */
export function sameSpeedFinalDrive(current: number, before: SpeedBasis, after: SpeedBasis): number {
  checkNumber('finalDrive', current, limits.ratio)
  return (current * product('after', after)) / product('before', before)
}

function product(name: string, b: SpeedBasis): number {
  return (
    checkNumber(`${name}.kvRpmPerVolt`, b.kvRpmPerVolt, limits.kv) *
    checkNumber(`${name}.voltageV`, b.voltageV, limits.voltage) *
    checkNumber(`${name}.tireDiameterMm`, b.tireDiameterMm, limits.tireDiameterMm)
  )
}
