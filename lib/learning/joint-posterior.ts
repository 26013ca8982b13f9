import { CholeskyDecomposition, Matrix } from 'ml-matrix'
import { errorFigures, errorPriors, type ErrorFigure } from '../setup-math'
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

/** One deviation squared of the common part of a figure before any reading. */
export function priorVariance(figure: ErrorFigure, slopes: Slopes): number {
  const p = errorPriors[figure]
  return p.surface ** 2 + p.carClass ** 2 + p.car ** 2 + dot(slopes[figure], slopes[figure])
}

/** Mean and variance of a common error, the mean less the prior's. */
interface Told {
  mean: number
  variance: number
}

/**
 * Gauss and Newton's step around the simulator: with slopes that hold near the card, inputs and model errors are normal, and so is what readings leave of them.
 * The model's own error is shared by surface, by class and by car; the car's inputs move all of its figures together. All readings of one figure of one car are
 * of one cell, so that a season's work is that of a few numbers.
 * Source: Rasmussen, Williams, Gaussian Processes for Machine Learning (2006), eq. 2.23 to 2.26 and 3.26; Kennedy, O'Hagan (2001), both from memory.
 */
export class JointErrors {
  readonly #who: Who
  readonly #slopes: Slopes
  readonly #readings: readonly Reading[]
  readonly #cells: Cell[] = []
  /** The cell of each reading, and how far it lies off the prior's mean. */
  readonly #cellOf: number[] = []
  readonly #off: number[]
  readonly #prior: number[][]
  /** What each of the car's figures shares with each cell. */
  readonly #reach: Record<ErrorFigure, number[]>

  constructor(who: Who, slopes: Slopes, readings: readonly Reading[]) {
    this.#who = who
    this.#slopes = slopes
    this.#readings = readings
    for (const r of readings) {
      let at = this.#cells.findIndex((c) => isSame(c, r))
      if (at < 0) at = this.#cells.push(r) - 1
      this.#cellOf.push(at)
    }
    this.#off = readings.map((r) => r.logRatio - errorPriors[r.figure].mean)
    this.#prior = []
    // Half of it is computed: the other half is to be the same to the last digit.
    this.#cells.forEach((a, i) => {
      this.#prior.push(this.#cells.map((b, j) => (j < i ? (this.#prior[j]?.[i] ?? 0) : this.#shared(a, b))))
    })
    this.#reach = Object.fromEntries(
      errorFigures.map((figure) => [figure, this.#cells.map((c) => this.#shared(c, { ...who, figure }))]),
    ) as Record<ErrorFigure, number[]>
  }

  /** How far a reading lies off the prior's mean. */
  off = (reading: number): number => this.#off[reading] ?? 0

  /** @param weights one for each reading, or for the first of them; 0 leaves it out. `but` is left out as well. */
  given(weights: readonly number[], but = -1): Posterior {
    const precision = new Array<number>(this.#cells.length).fill(0)
    const sums = new Array<number>(this.#cells.length).fill(0)
    weights.forEach((weight, i) => {
      if (i === but || weight === 0) return
      const at = this.#cellOf[i] ?? 0
      const p = weight / errorPriors[this.#readings[i]?.figure ?? 'charge'].run ** 2
      precision[at] = (precision[at] ?? 0) + p
      sums[at] = (sums[at] ?? 0) + p * (this.#off[i] ?? 0)
    })
    return new Posterior(this.#prior, precision, sums)
  }

  ofReading(told: Posterior, reading: number): Told {
    const at = this.#cellOf[reading] ?? 0
    return told.of(this.#prior[at] ?? [], this.#prior[at]?.[at] ?? 0)
  }
  meanOfReading = (told: Posterior, reading: number): number =>
    told.mean(this.#prior[this.#cellOf[reading] ?? 0] ?? [])

  ofFigure = (told: Posterior, figure: ErrorFigure): Told =>
    told.of(this.#reach[figure], priorVariance(figure, this.#slopes))
  meanOfFigure = (told: Posterior, figure: ErrorFigure): number => told.mean(this.#reach[figure])

  /** How the inputs have moved, in their own standard deviations, and the share of their variance that is left. */
  ofInputs(told: Posterior): Record<string, { mean: number; left: number }> {
    const names = new Set(Object.values(this.#slopes).flatMap((s) => Object.keys(s)))
    const out: Record<string, { mean: number; left: number }> = {}
    for (const name of names) {
      const reach = this.#cells.map((c) =>
        isSame(c, { ...this.#who, figure: c.figure }) ? (this.#slopes[c.figure][name] ?? 0) : 0,
      )
      const { mean, variance } = told.of(reach, 1)
      out[name] = { mean, left: Math.min(1, variance) }
    }
    return out
  }

  /**
   * How much each reading counts: weights of Student's t by expectation and maximisation, so that one far off turns nothing.
   * Source: Lange, Little, Taylor, JASA 84 (1989) 881-896 (from memory).
   * @param counts 'no' leaves a reading out, 'fully' lets it count whatever the others say
   */
  robustWeights(counts: readonly ('no' | 'yes' | 'fully')[]): number[] {
    let weights = counts.map((c): number => (c === 'no' ? 0 : 1))
    for (let round = 0; round < rounds; round++) {
      const told = this.given(weights)
      const means = this.#prior.map((reach) => told.mean(reach))
      weights = counts.map((count, i) => {
        if (count !== 'yes') return count === 'no' ? 0 : 1
        const run = errorPriors[this.#readings[i]?.figure ?? 'charge'].run
        const z = ((this.#off[i] ?? 0) - (means[this.#cellOf[i] ?? 0] ?? 0)) / run
        return (freedom + 1) / (freedom + z * z)
      })
    }
    return weights
  }

  #shared(a: Cell, b: Cell): number {
    if (a.surface !== b.surface) return 0
    const p = errorPriors[a.figure]
    const isFigure = a.figure === b.figure
    let sum = isFigure ? p.surface ** 2 : 0
    if (a.carClass === b.carClass && isFigure) sum += p.carClass ** 2
    if (a.carClass !== b.carClass || a.car !== b.car) return sum
    if (isFigure) sum += p.car ** 2
    if (a.car === this.#who.car) return sum + dot(this.#slopes[a.figure], this.#slopes[b.figure])
    // Of another car's inputs no more is known than how much they usually add.
    return isFigure ? sum + p.inputs ** 2 : sum
  }
}

/** Normal law of the common errors given the readings' precisions; cells without any count for nothing. */
export class Posterior {
  readonly #root: number[]
  readonly #solved: number[]
  #spread: CholeskyDecomposition | null = null
  readonly #prior: readonly (readonly number[])[]

  constructor(prior: readonly (readonly number[])[], precision: readonly number[], sums: readonly number[]) {
    this.#prior = prior
    this.#root = precision.map(Math.sqrt)
    const right = sums.map((s, i) => (this.#root[i] ? s / (this.#root[i] ?? 1) : 0))
    const solved = this.#root.length ? this.#factor(1).solve(Matrix.columnVector(right)).to1DArray() : []
    this.#solved = solved.map((x, i) => x * (this.#root[i] ?? 0))
  }

  /** 1 + root K root, with precisions times `share`. */
  #factor(share: number): CholeskyDecomposition {
    const r = this.#root
    return new CholeskyDecomposition(
      new Matrix(
        this.#prior.map((row, i) =>
          row.map((k, j) => (i === j ? 1 : 0) + share * ((r[i] ?? 0) * (r[j] ?? 0)) * k),
        ),
      ),
    )
  }

  mean = (reach: readonly number[]): number => sum(reach, this.#solved)

  of(reach: readonly number[], whole: number): Told {
    if (this.#root.length === 0) return { mean: 0, variance: whole }
    // The variance rests on what Student's scatter tells, which is less than its weights say.
    this.#spread ??= this.#factor(information)
    const right = reach.map((k, i) => Math.sqrt(information) * k * (this.#root[i] ?? 0))
    const solved = this.#spread.solve(Matrix.columnVector(right)).to1DArray()
    return { mean: this.mean(reach), variance: Math.max(0, whole - sum(right, solved)) }
  }
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
