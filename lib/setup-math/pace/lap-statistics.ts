import { checkNumber } from '../check-number'
import { absent, type Maybe } from '../maybe'
import { RangeProblem } from '../range-problem'

export interface LapStatistics {
  laps: number
  sumS: number
  meanS: number
  /** Sample standard deviation (n - 1); one crash dominates it. */
  sdS: Maybe<number>
  medianS: number
  /** Median of the distances to the median, unscaled; a crash hardly moves it. */
  madS: number
  bestS: number
  /** Least sum of three laps in a row. */
  bestThreeConsecutiveS: Maybe<number>
}

/** Middle value; mean of the two middle ones. The list is not empty. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  const upper = sorted[half] ?? 0
  return sorted.length % 2 ? upper : ((sorted[half - 1] ?? 0) + upper) / 2
}

/**
 * Statistics of a lap list. Definitions as in NIST/SEMATECH e-Handbook of Statistical Methods 1.3.5.6 (MAD unscaled); the sums of squares are
 * taken about the mean, in two passes, so that large offsets do not cancel.
 * @throws RangeProblem on an empty list
 */
export function lapStatistics(lapSeconds: readonly number[]): LapStatistics {
  if (!Array.isArray(lapSeconds) || lapSeconds.length === 0)
    throw new RangeProblem('lapSeconds', lapSeconds, 'one lap or more')
  const laps = lapSeconds.map((s: number, i) =>
    checkNumber(`lapSeconds[${i}]`, s, { min: 0, max: 1e9, above: true, unit: 's' }),
  )
  const n = laps.length
  const sumS = laps.reduce((a, b) => a + b, 0)
  const rough = sumS / n
  const meanS = rough + laps.reduce((a, b) => a + (b - rough), 0) / n
  const squares = laps.reduce((a, b) => a + (b - meanS) ** 2, 0)
  const medianS = median(laps)
  const threes = laps.slice(2).map((s, i) => s + (laps[i] ?? 0) + (laps[i + 1] ?? 0))
  return {
    laps: n,
    sumS,
    meanS,
    sdS: n > 1 ? Math.sqrt(squares / (n - 1)) : absent('one lap has no spread'),
    medianS,
    madS: median(laps.map((s) => Math.abs(s - medianS))),
    bestS: Math.min(...laps),
    bestThreeConsecutiveS: threes.length ? Math.min(...threes) : absent('fewer than three laps'),
  }
}
