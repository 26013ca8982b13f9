import { leastSquares, type LeastSquares } from './least-squares'
import { studentT } from './student-t'
import type { Side } from './test-order'

/** One run of a test. */
export interface TestRun {
  side: Side
  /** When, in any unit: drift goes with it. */
  at: number
  /** The run's lap, s (`runLap`). */
  lapS: number
  /** Runs that the tires and the pack had behind them, where the team knows. */
  tireRuns?: number
  packRuns?: number
}

export interface TestVerdict {
  /** `better`: B against A; `none`: no difference worth having; `open`: can't be told yet. */
  says: 'A' | 'B' | 'none' | 'open'
  /** B's lap less A's, s, with drift and age taken out; null before the scatter can be told. */
  differenceS: number | null
  /** Half of its 90% interval, s. */
  plusMinusS: number | null
  /** About so many runs more of each side would tell; null where it is told, or where more than `MOST_MORE` would be needed. */
  moreOfEach: number | null
  runs: { A: number; B: number }
  /** What was taken out beside the sides, and what could not be told apart from it. */
  removed: Removed[]
  notApart: Removed[]
  /** Drift of the track, s per unit of `at`; with what runs scatter by besides, s. */
  driftPerUnit: number | null
  scatterS: number | null
}
export type Removed = 'drift' | 'bent drift' | 'tire age' | 'pack age'

/**
 * A team looks after every run. Were each look judged at 95%, one day in four without any difference would end with a winner; judged at this level, twenty looks
 * together err in at most 5% of such days. Source: Pocock, Biometrika 64 (1977) 191-199: constant nominal level for twenty looks, 0.0075 (from memory). Its looks are all
 * at one model; here columns join as the runs can carry them, and at 0.0075 5.3% of 1,500 simulated days without a difference ended with a winner (`bench:learning`).
 */
const LOOK_LEVEL = 0.006
/** More runs than this nobody drives in a day. */
const MOST_MORE = 12
/** Degrees of freedom that another column must leave. */
const LEAST_LEFT = 3

/**
 * Is A better than B? Least squares with a column for the side, the track's drift, and the age of tires and pack as far as the runs tell them apart.
 * Worth having: two one-sided tests (Schuirmann, J. Pharmacokin. Biopharm. 15, 1987): "no difference" when the 90% interval lies within it.
 * @param worthS the least difference that the team cares for, s
 */
export function judgeTest(runs: readonly TestRun[], worthS: number): TestVerdict {
  const count = (side: Side) => runs.filter((r) => r.side === side).length
  const told: TestVerdict = {
    says: 'open',
    differenceS: null,
    plusMinusS: null,
    moreOfEach: null,
    runs: { A: count('A'), B: count('B') },
    removed: [],
    notApart: [],
    driftPerUnit: null,
    scatterS: null,
  }
  const ordered = [...runs].sort((a, b) => a.at - b.at || a.lapS - b.lapS || (a.side < b.side ? -1 : 1))
  const { fit, removed, notApart } = fitOf(ordered)
  const least = Math.max(0, Math.ceil((4 - runs.length) / 2), 2 - told.runs.A, 2 - told.runs.B)
  if (!fit) return { ...told, removed, notApart, moreOfEach: Math.max(1, least) }
  const difference = fit.coefficients[1] ?? 0
  const error = fit.errors[1] ?? Number.POSITIVE_INFINITY
  const half = (level: number, freedom: number, sd: number) => studentT(1 - level / 2, freedom) * sd
  const plusMinus = half(0.1, fit.freedom, error)
  const isTold = Math.abs(difference) > half(LOOK_LEVEL, fit.freedom, error)
  const isNone = Math.abs(difference) + plusMinus <= worthS
  const says = isNone ? 'none' : isTold ? (difference < 0 ? 'B' : 'A') : 'open'
  const more = (): number | null => {
    const now = runs.length
    for (let n = 1; n <= MOST_MORE; n++) {
      // The same scatter, and runs that are as balanced as they have been.
      const freedom = fit.freedom + 2 * n
      const then = error * Math.sqrt(now / (now + 2 * n))
      if (Math.abs(difference) > half(LOOK_LEVEL, freedom, then)) return n
      if (Math.abs(difference) + half(0.1, freedom, then) <= worthS) return n
    }
    return null
  }
  return {
    ...told,
    says,
    differenceS: difference,
    plusMinusS: plusMinus,
    moreOfEach: says === 'open' ? more() : null,
    removed,
    notApart,
    driftPerUnit: removed.includes('drift') ? (fit.coefficients[2] ?? null) : null,
    scatterS: fit.residualSd,
  }
}

/** As many columns as the runs can carry, in the order in which they matter. */
function fitOf(runs: readonly TestRun[]): {
  fit: LeastSquares | null
  removed: Removed[]
  notApart: Removed[]
} {
  const y = runs.map((r) => r.lapS)
  const mean = (xs: readonly number[]) => xs.reduce((a, b) => a + b, 0) / Math.max(1, xs.length)
  const about = (xs: number[]) => xs.map((x) => x - mean(xs))
  const time = about(runs.map((r) => r.at))
  const age = (of: (r: TestRun) => number | undefined): number[] | null => {
    const xs = runs.map(of)
    return xs.every((x) => x !== undefined) ? about(xs) : null
  }
  const sides = [runs.map(() => 1), runs.map((r) => (r.side === 'B' ? 1 : 0))]
  const wanted: [Removed, number[] | null, number][] = [
    ['drift', time, 0],
    ['tire age', age((r) => r.tireRuns), LEAST_LEFT],
    ['bent drift', about(time.map((t) => t * t)), LEAST_LEFT],
    ['pack age', age((r) => r.packRuns), LEAST_LEFT],
  ]
  const removed: Removed[] = []
  const notApart: Removed[] = []
  let columns = sides
  let fit = fitColumns(columns, y)
  // Without the drift nothing is told at all.
  if (runs.length < 4) fit = null
  for (const [name, column, left] of wanted) {
    if (!column || !column.some((x) => Math.abs(x) > 1e-12)) continue
    const trial = fitColumns([...columns, column], y)
    if (trial && trial.freedom >= Math.max(1, left)) {
      columns = [...columns, column]
      fit = trial
      removed.push(name)
    } else if (name !== 'bent drift') {
      notApart.push(name)
      if (name === 'drift') fit = null
    }
  }
  return { fit, removed, notApart }
}

const fitColumns = (columns: readonly (readonly number[])[], y: readonly number[]): LeastSquares | null =>
  leastSquares(
    y.map((_, i) => columns.map((c) => c[i] ?? 0)),
    y,
  )
