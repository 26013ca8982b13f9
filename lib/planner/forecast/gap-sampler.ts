import { uniformFloat32 } from 'pure-rand/distribution/uniformFloat32'
import type { RandomGenerator } from 'pure-rand/types/RandomGenerator'

/** A value with its weight in gaps seen; the prior's atoms have fractional weights. */
export interface Atom {
  value: number
  weight: number
}

/** One possible truth about a distribution, drawn from the posterior; sampling it gives future values. */
export interface DrawnLaw {
  mean: number
  sample(rng: RandomGenerator): number
  /** As if one had been drawn: what comes after it is the same. */
  passOver(rng: RandomGenerator): void
}

const uniform = (rng: RandomGenerator): number => Math.max(uniformFloat32(rng), 1e-7)

export function normal(rng: RandomGenerator): number {
  return Math.sqrt(-2 * Math.log(uniform(rng))) * Math.cos(2 * Math.PI * uniform(rng))
}

/** Gamma variate of unit scale: Marsaglia & Tsang, ACM Trans. Math. Softw. 26 (2000) 363, boosted for shape < 1. */
export function gamma(rng: RandomGenerator, shape: number): number {
  if (shape === 1) return -Math.log(uniform(rng))
  if (shape < 1) return gamma(rng, shape + 1) * Math.pow(uniform(rng), 1 / shape)
  const d = shape - 1 / 3
  const c = 1 / Math.sqrt(9 * d)
  for (;;) {
    const x = normal(rng)
    const v = (1 + c * x) ** 3
    if (v > 0 && Math.log(uniform(rng)) < 0.5 * x * x + d - d * v + d * Math.log(v)) return d * v
  }
}

/**
 * Draws one law from the posterior of a Dirichlet process whose base measure and seen values are the atoms (Ferguson,
 * Ann. Statist. 1 (1973) 209; with seen values alone it is Rubin's Bayesian bootstrap, Ann. Statist. 9 (1981) 130).
 * Nothing is assumed of the shape, so a day with two kinds of gap (quick ones, and ones with a repaired track) keeps
 * both. `smoothing` is the standard deviation of the noise that makes the atoms a continuous law.
 */
export function drawLaw(rng: RandomGenerator, atoms: readonly Atom[], smoothing: number): DrawnLaw {
  const cumulative = new Float64Array(atoms.length)
  let total = 0
  let mean = 0
  atoms.forEach((a, i) => {
    const w = gamma(rng, a.weight)
    total += w
    mean += w * a.value
    cumulative[i] = total
  })
  return {
    mean: total > 0 ? mean / total : 0,
    sample(r) {
      const at = uniform(r) * total
      let low = 0
      let high = atoms.length - 1
      while (low < high) {
        const mid = (low + high) >> 1
        if ((cumulative[mid] ?? 0) < at) low = mid + 1
        else high = mid
      }
      return (atoms[low]?.value ?? 0) + smoothing * normal(r)
    },
    passOver(r) {
      // One for the atom, two for the noise.
      for (let n = 0; n < 3; n++) uniform(r)
    },
  }
}

/** One number per replicate. */
export interface DrawnValues {
  values: Float64Array
  /** The replicates from the least value to the greatest. */
  order: Uint16Array
}

/** Replicates that there may be. A power of two, so that nothing is rounded. */
const PLACES = 1024

/**
 * What was drawn, with its order. Sorted first as whole numbers that carry their replicate, which takes no comparing function; whatever is then still out of
 * order is so by less than one, and moved up from there. A sort by comparison took a third of a forecast's time.
 * @param order is filled; as long as `values`
 * @throws RangeError for more replicates than 1,024
 */
export function inOrder(values: Float64Array, order = new Uint16Array(values.length)): DrawnValues {
  const count = values.length
  if (count > PLACES) throw new RangeError(`${count} replicates, of ${PLACES} at most`)
  const keys = new Float64Array(count)
  for (let i = 0; i < count; i++) keys[i] = Math.floor(values[i] ?? 0) * PLACES + i
  keys.sort()
  for (let k = 0; k < count; k++) {
    const key = keys[k] ?? 0
    order[k] = key - Math.floor(key / PLACES) * PLACES
  }
  for (let k = 1; k < count; k++) {
    const i = order[k] ?? 0
    const value = values[i] ?? 0
    let to = k
    for (; to > 0; to--) {
      const before = order[to - 1] ?? 0
      if ((values[before] ?? 0) <= value) break
      order[to] = before
    }
    order[to] = i
  }
  return { values, order }
}

/** How likely each replicate is, beside the others. */
export interface Weights {
  each: Float64Array
  total: number
  /** Each is 1, as long as no heat to come has begun in any replicate: mostly. */
  areEven: boolean
}

export const weightsFrom = (each: Float64Array): Weights => ({
  each,
  total: each.reduce((s, w) => s + w, 0),
  areEven: each.every((w) => w === 1),
})

/** Weighted quantiles of what was drawn. `probabilities` rise. */
export function weightedQuantiles(
  { values, order }: DrawnValues,
  { each, total, areEven }: Weights,
  probabilities: readonly number[],
): number[] {
  if (areEven)
    return probabilities.map((p) => {
      const at = Math.min(Math.max(Math.ceil(p * total), 1), order.length) - 1
      return values[order[at] ?? 0] ?? 0
    })
  const found: number[] = []
  let sum = 0
  let k = 0
  for (const i of order) {
    sum += each[i] ?? 0
    while (k < probabilities.length && sum >= (probabilities[k] ?? 1) * total) {
      found.push(values[i] ?? 0)
      k++
    }
    if (k === probabilities.length) break
  }
  const last = order[order.length - 1]
  while (found.length < probabilities.length) found.push(last === undefined ? 0 : (values[last] ?? 0))
  return found
}
