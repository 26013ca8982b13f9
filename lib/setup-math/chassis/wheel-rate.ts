import { checkNumber, checkObject } from '../check-number'

const rate = { min: 1e-3, max: 1e9, unit: 'N/m' }
const mass = { min: 1e-6, max: 1e5, unit: 'kg' }

/**
 * Spring rate felt at the wheel, N/m: k (spring travel / wheel travel)². Principle of virtual work; Blundell/Harty and "Automotive
 * Chassis Engineering" (Barton, Fieldhouse) eq. 3.33.
 * @throws RangeProblem
 */
export function wheelRate(input: { springNPerM: number; motionRatio: number }): number {
  checkObject('wheelRate', input)
  return (
    checkNumber('springNPerM', input.springNPerM, rate) *
    checkNumber('motionRatio', input.motionRatio, { min: 0, max: 10, above: true }) ** 2
  )
}

/** Wheel rate and tire rate in series, N/m. @throws RangeProblem */
export function rideRate(input: { wheelRateNPerM: number; tireRateNPerM?: number }): number {
  const k = checkNumber('wheelRateNPerM', input.wheelRateNPerM, rate)
  if (input.tireRateNPerM === undefined) return k
  const t = checkNumber('tireRateNPerM', input.tireRateNPerM, rate)
  return (k * t) / (k + t)
}

/** Undamped natural frequency of the sprung mass on one wheel, Hz: sqrt(k/m) / 2 pi. @throws RangeProblem */
export function rideFrequency(input: {
  wheelRateNPerM: number
  tireRateNPerM?: number
  massKg: number
}): number {
  checkObject('rideFrequency', input)
  const m = checkNumber('massKg', input.massKg, mass)
  return Math.sqrt(rideRate(input) / m) / (2 * Math.PI)
}

/**
 * Damping ratio c / (2 sqrt(k m)), with the damper's rate brought to the wheel by the square of its motion ratio. Below 1 swings, 1 is
 * critical. Source: linear oscillator, e.g. Halliday/Resnick ch. 15, from memory.
 * @throws RangeProblem
 */
export function dampingRatio(input: {
  damperNsPerM: number
  motionRatio?: number
  wheelRateNPerM: number
  tireRateNPerM?: number
  massKg: number
}): number {
  checkObject('damping', input)
  const m = checkNumber('massKg', input.massKg, mass)
  const c =
    checkNumber('damperNsPerM', input.damperNsPerM, { min: 0, max: 1e7, unit: 'N s/m' }) *
    checkNumber('motionRatio', input.motionRatio ?? 1, { min: 0, max: 10, above: true }) ** 2
  return c / (2 * Math.sqrt(rideRate(input) * m))
}
