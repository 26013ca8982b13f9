import { CholeskyDecomposition, Matrix } from 'ml-matrix'
import { errorFigures, errorPriors, type ErrorFigure } from '../setup-math'
import { acrossFigures, energyTogether, isEnergy } from './figures-together'
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
 * The model's own error is shared by surface, by class and by car; the car's inputs move all of its figures, for the most part together. All readings of one figure of one car are
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
  /** The readings of each cell, in their order. */
  readonly #inCell: number[][] = []
  readonly #off: number[]
  readonly #prior: number[][]
  /** What each of the car's figures shares with each cell. */
  readonly #reach: Record<ErrorFigure, number[]>

  /** @param apart one deviation that all of the car's readings of a figure share and the figure itself does not have */
  constructor(
    who: Who,
    slopes: Slopes,
    readings: readonly Reading[],
    apart: Partial<Record<ErrorFigure, number>> = {},
  ) {
    this.#who = who
    this.#slopes = slopes
    this.#readings = readings
    for (const r of readings) {
      let at = this.#cells.findIndex((c) => isSame(c, r))
      if (at < 0) {
        at = this.#cells.push(r) - 1
        this.#inCell.push([])
      }
      this.#inCell[at]?.push(this.#cellOf.push(at) - 1)
    }
    this.#off = readings.map((r) => r.logRatio - errorPriors[r.figure].mean)
    this.#prior = []
    // Half of it is computed: the other half is to be the same to the last digit.
    this.#cells.forEach((a, i) => {
      const own = a.car === who.car && a.carClass === who.carClass ? (apart[a.figure] ?? 0) ** 2 : 0
      this.#prior.push(
        this.#cells.map((b, j) =>
          j < i ? (this.#prior[j]?.[i] ?? 0) : this.#shared(a, b) + (j === i ? own : 0),
        ),
      )
    })
    this.#reach = Object.fromEntries(
      errorFigures.map((figure) => [figure, this.#cells.map((c) => this.#shared(c, { ...who, figure }))]),
    ) as Record<ErrorFigure, number[]>
  }

  /** How far a reading lies off the prior's mean. */
  off = (reading: number): number => this.#off[reading] ?? 0

  /** @param weights one for each reading, or for the first of them; 0 leaves it out */
  given(weights: readonly number[]): Posterior {
    return new Posterior(
      this.#prior,
      this.#cells.map((_, at) => this.#precisionOf(at, weights)),
      this.#cells.map((_, at) => this.#sumOf(at, weights)),
    )
  }

  /** For each reading what the others say: only its own cell is summed up anew. */
  givenTheOthers(weights: readonly number[]): Posterior[] {
    const precision = this.#cells.map((_, at) => this.#precisionOf(at, weights))
    const sums = this.#cells.map((_, at) => this.#sumOf(at, weights))
    return this.#readings.map((_, but) => {
      const at = this.#cellOf[but] ?? 0
      return new Posterior(
        this.#prior,
        precision.with(at, this.#precisionOf(at, weights, but)),
        sums.with(at, this.#sumOf(at, weights, but)),
      )
    })
  }

  #precisionOf(cell: number, weights: readonly number[], but = -1): number {
    const run2 = errorPriors[this.#cells[cell]?.figure ?? 'charge'].run ** 2
    let sum = 0
    for (const i of this.#inCell[cell] ?? []) {
      if (i >= weights.length) break
      if (i !== but) sum += (weights[i] ?? 0) / run2
    }
    return sum
  }

  #sumOf(cell: number, weights: readonly number[], but = -1): number {
    const run2 = errorPriors[this.#cells[cell]?.figure ?? 'charge'].run ** 2
    let sum = 0
    for (const i of this.#inCell[cell] ?? []) {
      if (i >= weights.length) break
      if (i !== but) sum += ((weights[i] ?? 0) / run2) * (this.#off[i] ?? 0)
    }
    return sum
  }

  /** How many readings of the same figure of the same car count, this one among them. */
  alike(reading: number, counts: readonly ('no' | 'yes' | 'fully')[]): number {
    return (this.#inCell[this.#cellOf[reading] ?? 0] ?? []).filter((i) => counts[i] !== 'no').length
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
        isSame(c, { ...this.#who, figure: c.figure })
          ? Math.sqrt(acrossFigures) * (this.#slopes[c.figure][name] ?? 0)
          : 0,
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
    const weights = counts.map((c): number => (c === 'no' ? 0 : 1))
    const runs = this.#cells.map((c) => errorPriors[c.figure].run)
    for (let round = 0; round < rounds; round++) {
      const told = this.given(weights)
      for (let at = 0; at < this.#cells.length; at++) {
        const mean = told.mean(this.#prior[at] ?? [])
        const run = runs[at] ?? 1
        for (const i of this.#inCell[at] ?? []) {
          if (i >= counts.length) break
          if (counts[i] !== 'yes') continue
          const z = ((this.#off[i] ?? 0) - mean) / run
          weights[i] = (freedom + 1) / (freedom + z * z)
        }
      }
    }
    return weights
  }

  #shared(a: Cell, b: Cell): number {
    if (a.surface !== b.surface) return 0
    const [p, q] = [errorPriors[a.figure], errorPriors[b.figure]]
    const isFigure = a.figure === b.figure
    const areEnergy = isEnergy(a.figure) && isEnergy(b.figure)
    const model = isFigure ? 1 : areEnergy ? energyTogether : 0
    let sum = model * p.surface * q.surface
    if (a.carClass === b.carClass) sum += model * p.carClass * q.carClass
    if (a.carClass !== b.carClass || a.car !== b.car) return sum
    sum += model * p.car * q.car
    // Of another car's inputs no more is known than how much they usually add.
    if (a.car !== this.#who.car) return isFigure ? sum + p.inputs ** 2 : sum
    const [s, t] = [this.#slopes[a.figure], this.#slopes[b.figure]]
    if (isFigure) return sum + dot(s, s)
    const own = areEnergy ? Math.sqrt(dot(s, s) * dot(t, t)) : 0
    return sum + acrossFigures * dot(s, t) + (1 - acrossFigures) * own
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
    const n = r.length
    const m = new Matrix(n, n)
    for (let i = 0; i < n; i++)
      for (let j = 0; j < n; j++)
        m.set(i, j, (i === j ? 1 : 0) + share * ((r[i] ?? 0) * (r[j] ?? 0)) * (this.#prior[i]?.[j] ?? 0))
    return new CholeskyDecomposition(m)
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
