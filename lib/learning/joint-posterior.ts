import { CholeskyDecomposition, Matrix } from 'ml-matrix'
import { errorPriors, type ErrorFigure } from '../setup-math'
import type { Reading, Slopes, Who } from './reading'

/** One figure of one car on one surface: all readings of it are of the same common error, each with a scatter of its own. */
interface Cell extends Who {
  figure: ErrorFigure
}

/** Degrees of freedom of a reading's own scatter: one bad reading in some thirty is part of the picture. */
const freedom = 4
/** A reading of Student's scatter tells this share of what a normal one of the same scale does: (nu + 1) / (nu + 3), its expected information. */
const information = (freedom + 1) / (freedom + 3)
const rounds = 12

/** Normal law of the common errors given weighted readings. */
export interface JointPosterior {
  /** Of the log-ratio's common part of one figure of `who`, less the prior's mean. */
  at: (figure: ErrorFigure) => { mean: number; variance: number }
  ofReading: (r: Reading) => { mean: number; variance: number }
  /** How the inputs have moved, in their own standard deviations, and the share of their variance that is left. */
  inputs: () => Record<string, { mean: number; left: number }>
}

/** One deviation of the common part of a figure before any reading. */
export function priorVariance(figure: ErrorFigure, slopes: Slopes): number {
  const p = errorPriors[figure]
  return p.surface ** 2 + p.carClass ** 2 + p.car ** 2 + dot(slopes[figure], slopes[figure])
}

/**
 * Gauss and Newton's step around the simulator: with slopes that hold near the card, inputs and model errors are normal, and so is what readings leave of them.
 * The model's own error is shared by surface, by class and by car; the car's inputs move all of its figures together.
 * Source: Rasmussen, Williams, Gaussian Processes for Machine Learning (2006), eq. 2.23 to 2.26; Kennedy, O'Hagan (2001), both from memory.
 * @param weights one for each reading; 0 leaves it out
 */
export function jointPosterior(
  who: Who,
  slopes: Slopes,
  readings: readonly Reading[],
  weights: readonly number[],
): JointPosterior {
  const cells: { cell: Cell; weight: number; off: number }[] = []
  readings.forEach((r, i) => {
    const p = errorPriors[r.figure]
    const weight = (weights[i] ?? 0) / p.run ** 2
    if (!(weight > 0)) return
    let known = cells.find((c) => isSame(c.cell, r))
    if (!known) cells.push((known = { cell: r, weight: 0, off: 0 }))
    known.weight += weight
    known.off += weight * (r.logRatio - p.mean)
  })
  const shared = (a: Cell, b: Cell): number => {
    if (a.surface !== b.surface) return 0
    const p = errorPriors[a.figure]
    const isFigure = a.figure === b.figure
    let sum = isFigure ? p.surface ** 2 : 0
    if (a.carClass === b.carClass && isFigure) sum += p.carClass ** 2
    if (a.carClass !== b.carClass || a.car !== b.car) return sum
    if (isFigure) sum += p.car ** 2
    if (a.car === who.car) return sum + dot(slopes[a.figure], slopes[b.figure])
    // Of another car's inputs no more is known than how much they usually add.
    return isFigure ? sum + p.inputs ** 2 : sum
  }
  const n = cells.length
  if (n === 0)
    return {
      at: (figure) => ({ mean: 0, variance: shared({ ...who, figure }, { ...who, figure }) }),
      ofReading: (r) => ({ mean: 0, variance: shared(r, r) }),
      inputs: () => ({}),
    }
  const off = cells.map((c) => c.off / c.weight)
  const covariance = new Matrix(
    cells.map((a, i) => cells.map((b, j) => shared(a.cell, b.cell) + (i === j ? 1 / a.weight : 0))),
  )
  const meanSolved = new CholeskyDecomposition(covariance).solve(Matrix.columnVector(off)).to1DArray()
  // The variance rests on what Student's scatter tells, which is less than its weights say.
  const spread = new CholeskyDecomposition(
    new Matrix(
      cells.map((a, i) =>
        cells.map((b, j) => shared(a.cell, b.cell) + (i === j ? 1 / (information * a.weight) : 0)),
      ),
    ),
  )
  const from = (reach: readonly number[], whole: number) => {
    const solved = spread.solve(Matrix.columnVector([...reach])).to1DArray()
    return { mean: sum(reach, meanSolved), variance: Math.max(0, whole - sum(reach, solved)) }
  }
  const ofCell = (target: Cell) =>
    from(
      cells.map((c) => shared(c.cell, target)),
      shared(target, target),
    )
  return {
    at: (figure) => ofCell({ ...who, figure }),
    ofReading: ofCell,
    inputs: () => {
      const own = cells.map((c) => isSame(c.cell, { ...who, figure: c.cell.figure }))
      const names = new Set(Object.values(slopes).flatMap((s) => Object.keys(s)))
      const out: Record<string, { mean: number; left: number }> = {}
      for (const name of names) {
        const reach = cells.map((c, i) => (own[i] ? (slopes[c.cell.figure][name] ?? 0) : 0))
        const { mean, variance } = from(reach, 1)
        out[name] = { mean, left: Math.min(1, variance) }
      }
      return out
    },
  }
}

/**
 * How much each reading counts: weights of Student's t by expectation and maximisation, so that one far off turns nothing.
 * Source: Lange, Little, Taylor, JASA 84 (1989) 881-896 (from memory).
 * @param counts 'no' leaves a reading out, 'fully' lets it count whatever the others say
 */
export function robustWeights(
  who: Who,
  slopes: Slopes,
  readings: readonly Reading[],
  counts: readonly ('no' | 'yes' | 'fully')[],
): number[] {
  let weights = counts.map((c): number => (c === 'no' ? 0 : 1))
  for (let round = 0; round < rounds; round++) {
    const told = jointPosterior(who, slopes, readings, weights)
    weights = readings.map((r, i) => {
      if (counts[i] !== 'yes') return counts[i] === 'no' ? 0 : 1
      const p = errorPriors[r.figure]
      const z = (r.logRatio - p.mean - told.ofReading(r).mean) / p.run
      return (freedom + 1) / (freedom + z * z)
    })
  }
  return weights
}

const isSame = (a: Cell, b: Cell): boolean =>
  a.figure === b.figure && a.car === b.car && a.carClass === b.carClass && a.surface === b.surface

const sum = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((s, x, i) => s + x * (b[i] ?? 0), 0)

function dot(a: Readonly<Record<string, number>>, b: Readonly<Record<string, number>>): number {
  let s = 0
  for (const name of Object.keys(a)) s += (a[name] ?? 0) * (b[name] ?? 0)
  return s
}
