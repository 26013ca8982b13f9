import { checkNumber } from '../check-number'
import { limits } from '../limits'
import { RangeProblem } from '../range-problem'

/** Share of Kv gained per degree of timing. Common practice, no source: a team calibrates it with `timingGain`. */
export const usualAdvanceGainPerDegree = 0.01

/**
 * Kv with `degrees` more timing than Kv was measured at: Kv (1 + gain x degrees). Kt falls by the same factor. A linear law
 * over the few tens of degrees that controllers offer; the gain is the team's own measurement.
 * @throws RangeProblem
 */
export function kvWithTiming(kvRpmPerVolt: number, degrees: number, gainPerDegree: number): number {
  return (
    checkNumber('kvRpmPerVolt', kvRpmPerVolt, limits.kv) *
    (1 +
      checkNumber('gainPerDegree', gainPerDegree, limits.gainPerDegree) *
        checkNumber('degrees', degrees, { min: -90, max: 90, unit: 'degrees' }))
  )
}

export interface NoLoadReading {
  timingDeg: number
  rpm: number
  voltageV: number
  currentA: number
}

/**
 * Kv of a no-load reading: rpm / (V - I R). Free-running a motor without a fan or load heats it: short readings only.
 * @throws RangeProblem
 */
export function kvFromNoLoad(reading: NoLoadReading, resistanceOhm: number): number {
  const emf =
    checkNumber('reading.voltageV', reading.voltageV, limits.voltage) -
    checkNumber('reading.currentA', reading.currentA, limits.current) *
      checkNumber('resistanceOhm', resistanceOhm, limits.resistance)
  if (emf <= 0)
    throw new RangeProblem('reading.currentA', reading.currentA, 'less than what the voltage can drive')
  return checkNumber('reading.rpm', reading.rpm, { ...limits.rpm, above: true }) / emf
}

/**
 * Gain per degree and Kv at timing zero from a team's own no-load readings, by least squares on Kv over degrees.
 * @throws RangeProblem when fewer than two different timings are given
 */
export function timingGain(
  readings: readonly NoLoadReading[],
  resistanceOhm: number,
): { kvAtZeroTiming: number; gainPerDegree: number } {
  const points = readings.map((r) => ({
    x: checkNumber('reading.timingDeg', r.timingDeg, { min: 0, max: 90, unit: 'degrees' }),
    y: kvFromNoLoad(r, resistanceOhm),
  }))
  const mx = points.reduce((s, p) => s + p.x, 0) / points.length
  const my = points.reduce((s, p) => s + p.y, 0) / points.length
  const sxx = points.reduce((s, p) => s + (p.x - mx) ** 2, 0)
  if (!(sxx > 1e-9)) throw new RangeProblem('readings', readings, 'readings at two different timings or more')
  const slope = points.reduce((s, p) => s + (p.x - mx) * (p.y - my), 0) / sxx
  const kvAtZeroTiming = my - slope * mx
  return { kvAtZeroTiming, gainPerDegree: slope / kvAtZeroTiming }
}
