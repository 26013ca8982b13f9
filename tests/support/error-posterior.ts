import type { ErrorPrior } from '@/lib/setup-math'

/** A measured figure over its projection. */
export interface ErrorRecord {
  surface: string
  carClass: string
  car: string
  logRatio: number
}

/** What the next run's log-ratio may be: `mean`, and the deviation of what is common to all runs of the car and of one run. */
export interface ErrorPosterior {
  mean: number
  /** Share of the common variance (inputs and model error) that the records have left. */
  left: number
  /** How many records of this very car count, each less where it lies far off. */
  ownRecords: number
}

/** Degrees of freedom of a record's own scatter: one bad record in some thirty is part of the picture. */
const freedom = 4
const rounds = 12
const mostRecords = 60

/**
 * What the learned error of one figure alone must be, worked out in another way than `lib/learning` does: from the records so far to the error of a car's next run: a normal prior by surface, class and car, records that scatter by Student's t (weights by
 * expectation and maximization: a record far off counts less, so that one bad record does not turn the answer). No records give back the prior.
 * Source: normal-normal updating, Gelman et al., Bayesian Data Analysis, ch. 5; t-scatter by EM, Lange, Little, Taylor, JASA 84 (1989) 881-896 (from memory).
 * @example errorPosterior(errorPriors.charge, records, { surface: 'clay', carClass: '4wd modified', car: 'Rook' })
 */
export function errorPosterior(
  prior: ErrorPrior,
  records: readonly ErrorRecord[],
  target: Pick<ErrorRecord, 'surface' | 'carClass' | 'car'>,
): ErrorPosterior {
  const used = records.filter((r) => Number.isFinite(r.logRatio)).slice(-mostRecords)
  const shared = (a: typeof target, b: typeof target): number => {
    if (a.surface !== b.surface) return 0
    if (a.carClass !== b.carClass) return prior.surface ** 2
    const ofClass = prior.surface ** 2 + prior.carClass ** 2
    return a.car === b.car ? ofClass + prior.car ** 2 + prior.inputs ** 2 : ofClass
  }
  const whole = shared(target, target)
  if (used.length === 0) return { mean: prior.mean, left: 1, ownRecords: 0 }
  const reach = used.map((r) => shared(r, target))
  const off = used.map((r) => r.logRatio - prior.mean)
  const weight = used.map(() => 1)
  let answer = { mean: 0, left: 1 }
  for (let round = 0; round < rounds; round++) {
    const matrix = used.map((a, i) =>
      used.map((b, j) => shared(a, b) + (i === j ? prior.run ** 2 / (weight[i] ?? 1) : 0)),
    )
    const byReach = solve(matrix, reach)
    const byOff = solve(matrix, off)
    answer = {
      mean: dot(reach, byOff),
      left: Math.min(1, Math.max(0, 1 - dot(reach, byReach) / whole)),
    }
    // What each record lies off by, beyond what is common to its car, class and surface.
    used.forEach((r, i) => {
      const common = used.reduce((sum, b, j) => sum + shared(r, b) * (byOff[j] ?? 0), 0)
      const z = ((off[i] ?? 0) - common) / prior.run
      weight[i] = (freedom + 1) / (freedom + z * z)
    })
  }
  const ownRecords = used.reduce(
    (sum, r, i) =>
      sum + (r.car === target.car && r.surface === target.surface ? Math.min(1, weight[i] ?? 0) : 0),
    0,
  )
  return { mean: prior.mean + answer.mean, left: answer.left, ownRecords }
}

const dot = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((s, x, i) => s + x * (b[i] ?? 0), 0)

/** Solves a symmetric positive system by Cholesky's factors. */
function solve(matrix: readonly (readonly number[])[], right: readonly number[]): number[] {
  const n = right.length
  const l: number[][] = []
  for (let i = 0; i < n; i++) {
    const row: number[] = []
    // Before it is filled: the diagonal subtracts what stands in its own row.
    l.push(row)
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i]?.[j] ?? 0
      for (let k = 0; k < j; k++) sum -= (row[k] ?? 0) * (l[j]?.[k] ?? 0)
      row.push(i === j ? Math.sqrt(Math.max(sum, 1e-18)) : sum / (l[j]?.[j] ?? 1))
    }
  }
  const y: number[] = []
  for (let i = 0; i < n; i++) {
    let sum = right[i] ?? 0
    for (let k = 0; k < i; k++) sum -= (l[i]?.[k] ?? 0) * (y[k] ?? 0)
    y.push(sum / (l[i]?.[i] ?? 1))
  }
  const x = new Array<number>(n).fill(0)
  for (let i = n - 1; i >= 0; i--) {
    let sum = y[i] ?? 0
    for (let k = i + 1; k < n; k++) sum -= (l[k]?.[i] ?? 0) * (x[k] ?? 0)
    x[i] = sum / (l[i]?.[i] ?? 1)
  }
  return x
}
