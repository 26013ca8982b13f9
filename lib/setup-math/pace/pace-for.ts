import { checkNumber, checkObject } from '../check-number'

/** A lap finished within this share of the clock's last tick counts as on it: guards the division's rounding only. */
const rounding = 1e-12

export interface Pace {
  laps: number
  finishSeconds: number
  /** Stay below this lap time for one lap more. */
  lapForOneMore: number
}

/**
 * Result of a steady pace: the lap under way when time runs out is driven to its end, so laps = ceil(race / lap). Common practice of timed
 * heats; arithmetic.
 * @throws RangeProblem
 * @example paceFor({ raceSeconds: 300, lapSeconds: 22.4 }) // 14 laps in 313.6 s; one more below 21.43 s
 */
export function paceFor(input: { raceSeconds: number; lapSeconds: number }): Pace {
  checkObject('pace', input)
  const race = checkNumber('raceSeconds', input.raceSeconds, { min: 1, max: 1e6, unit: 's' })
  const lap = checkNumber('lapSeconds', input.lapSeconds, { min: 1, max: 1e5, unit: 's' })
  const exact = race / lap
  const laps = Math.max(1, Math.ceil(exact * (1 - rounding)))
  return { laps, finishSeconds: laps * lap, lapForOneMore: race / laps }
}
