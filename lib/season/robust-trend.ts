import { median } from '../setup-math'

export interface Point {
  x: number
  y: number
}

/** A straight line that a bad point does not turn, and between which slopes the true one lies. */
export interface Trend {
  points: number
  /** y per x. */
  slope: number
  low: number
  high: number
  /** How often an interval made like this holds the true slope: at least what was asked for. */
  level: number
  at(x: number): number
  /** The line of another slope through the middle of the same points. */
  withSlope(slope: number): (x: number) => number
}

/** Fewer can't bound a slope at nine in ten: even if all rise, chance does that in one of six. */
export const LEAST_POINTS = 4
/** The newest count. All slopes of 200 points are 19,900. */
const MOST_POINTS = 200

/**
 * The median of the slopes of all pairs of points, and its interval by order statistics of those slopes: Theil, A rank-invariant method of linear and
 * polynomial regression analysis (1950); with equal x, Sen, Estimates of the regression coefficient based on Kendall's tau, J. Am. Stat. Assoc. 63 (1968)
 * 1379; the ranks as Hollander and Wolfe, Nonparametric Statistical Methods, ch. 9, from the exact distribution of Kendall's statistic.
 * It stands up to 29% of bad points. It takes the points as independent of each other.
 *
 * @param level share of intervals that hold the true slope
 * @returns null where the points can't bear the claim: fewer than four, or too many at one x
 */
export function robustTrend(given: readonly Point[], level = 0.9): Trend | null {
  const points = [...given]
    .filter((p) => Number.isFinite(p.x) && Number.isFinite(p.y))
    .sort((a, b) => a.x - b.x || a.y - b.y)
    .slice(-MOST_POINTS)
  if (points.length < LEAST_POINTS) return null
  const slopes: number[] = []
  points.forEach((a, i) => {
    for (const b of points.slice(i + 1)) if (b.x !== a.x) slopes.push((b.y - a.y) / (b.x - a.x))
  })
  slopes.sort((a, b) => a - b)
  const rank = outerRank(inversionShares(timesOfEach(points)), (1 - level) / 2)
  const [low, high] = [slopes[rank.at - 1], slopes[slopes.length - rank.at]]
  if (rank.at === 0 || low === undefined || high === undefined) return null
  const slope = median(slopes)
  const withSlope = (b: number) => {
    const from = median(points.map((p) => p.y - b * p.x))
    return (x: number) => from + b * x
  }
  return {
    points: points.length,
    slope,
    low,
    high,
    level: 1 - 2 * rank.beyond,
    at: withSlope(slope),
    withSlope,
  }
}

/** How many points stand at each x, in the order of x. */
function timesOfEach(sorted: readonly Point[]): number[] {
  const times: number[] = []
  sorted.forEach((p, i) => {
    if (i > 0 && sorted[i - 1]?.x === p.x) times.push((times.pop() ?? 0) + 1)
    else times.push(1)
  })
  return times
}

/** The innermost rank of the sorted slopes below which the true one lies with at most this chance; 0 where there is none. */
function outerRank(shares: readonly number[], chance: number): { at: number; beyond: number } {
  let [at, beyond] = [0, 0]
  while (at < shares.length / 2 && beyond + (shares[at] ?? 0) <= chance + 1e-9) beyond += shares[at++] ?? 0
  return { at, beyond }
}

/**
 * How likely each number of pairs is that stand in falling order, when nothing but chance orders the points and those of one group are not compared:
 * the coefficients of the q-multinomial (MacMahon), made factor by factor as shares so that they stay small.
 */
export function inversionShares(groups: readonly number[]): number[] {
  let shares = [1]
  let before = 0
  for (const size of groups) {
    for (let i = 1; i <= size; i++) shares = timesFactor(shares, before + i, i)
    before += size
  }
  return shares
}

/** Times (1 - q^up) / (1 - q^down), a polynomial again, scaled to the sum 1. */
function timesFactor(p: readonly number[], up: number, down: number): number[] {
  const out: number[] = []
  for (let k = 0; k < p.length + up - down; k++)
    out.push((p[k] ?? 0) - (p[k - up] ?? 0) + (out[k - down] ?? 0))
  return out.map((v) => Math.max(0, (v * down) / up))
}
