import { checkNumber } from '../check-number'
import { limits } from '../limits'
import { absent, type Maybe } from '../maybe'
import { RangeProblem } from '../range-problem'

export interface TireReading {
  runs: number
  diameterMm: number
}

export interface TireWear {
  newDiameterMm: number
  /** mm of diameter lost per run; negative would mean growing. */
  lossPerRunMm: number
  /** Scatter about the line, mm; absent with two readings. */
  residualMm: Maybe<number>
  diameterAt(runs: number): number
}

/** Least-squares line of tire diameter over runs. @throws RangeProblem when fewer than two different run counts are given */
export function tireWear(readings: readonly TireReading[]): TireWear {
  const points = readings.map((r, i) => ({
    x: checkNumber(`readings[${i}].runs`, r.runs, { min: 0, max: 10_000, unit: 'runs' }),
    y: checkNumber(`readings[${i}].diameterMm`, r.diameterMm, limits.tireDiameterMm),
  }))
  const n = points.length
  const mx = points.reduce((s, p) => s + p.x, 0) / n
  const my = points.reduce((s, p) => s + p.y, 0) / n
  const sxx = points.reduce((s, p) => s + (p.x - mx) ** 2, 0)
  if (!(sxx > 0))
    throw new RangeProblem('readings', readings, 'readings after two different numbers of runs, or more')
  const slope = points.reduce((s, p) => s + (p.x - mx) * (p.y - my), 0) / sxx
  const newDiameterMm = my - slope * mx
  const squares = points.reduce((s, p) => s + (p.y - newDiameterMm - slope * p.x) ** 2, 0)
  return {
    newDiameterMm,
    lossPerRunMm: -slope,
    residualMm: n > 2 ? Math.sqrt(squares / (n - 2)) : absent('two readings leave no scatter to see'),
    diameterAt: (runs) =>
      newDiameterMm + slope * checkNumber('runs', runs, { min: 0, max: 10_000, unit: 'runs' }),
  }
}

/** Runs until the tire is worn to `minDiameterMm`. @returns absence when it does not wear */
export function runsLeft(wear: TireWear, runsSoFar: number, minDiameterMm: number): Maybe<number> {
  checkNumber('minDiameterMm', minDiameterMm, limits.tireDiameterMm)
  if (!(wear.lossPerRunMm > 1e-9)) return absent('the readings show no wear')
  const total = (wear.newDiameterMm - minDiameterMm) / wear.lossPerRunMm
  return Math.max(0, total - checkNumber('runsSoFar', runsSoFar, { min: 0, max: 10_000, unit: 'runs' }))
}
