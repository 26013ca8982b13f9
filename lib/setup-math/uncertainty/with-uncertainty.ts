import { checkNumber } from '../check-number'
import { absent, isAbsent, type Maybe } from '../maybe'
import { RangeProblem } from '../range-problem'
import { normalSource } from './random'

/** An input with its standard uncertainty (one standard deviation), and what to measure to narrow it. */
export interface UncertainInput {
  name: string
  value: number
  sd: number
  /** Physical bounds that a draw never leaves. */
  min?: number
  max?: number
  measure: string
}

export interface Contribution {
  name: string
  /** Share of the variance, 0..1. */
  share: number
  measure: string
}

export interface UncertainValue {
  value: number
  /** 90% interval. */
  low: number
  high: number
  /** The draws behind it, rising: the whole distribution, for what an interval does not tell. */
  draws: Float64Array
  /** Largest first; the screen names the first two. */
  contributions: Contribution[]
}

/** Figures by name, some perhaps missing. */
type Shown = Readonly<Partial<Record<string, number>>>

export interface UncertaintyQuestion<S extends string, T extends Shown> {
  inputs: readonly UncertainInput[]
  /** Smooth figures, all at once, from the inputs' values in the inputs' order; absence where the car cannot drive. */
  evaluate: (values: readonly number[]) => Maybe<Record<S, number>>
  /** From the smooth figures to those shown: the place for what jumps, such as a lap count. Cheap: it runs on every draw. */
  derive: (smooth: Record<S, number>) => T
  /** What the model itself leaves out, as a standard deviation per smooth figure: driver, traffic, bumps. */
  scatter?: Partial<Record<S, { sd: number; name: string; measure: string }>>
  seed?: number
}

const draws = 1000
/** Enough to rank the causes, whose shares are told in words. */
const drawsForShares = 200
const usualSeed = 20_260_131

/**
 * A 90% interval for every figure. Each input is moved by one standard deviation either way (2 n + 1 evaluations for n inputs), which gives slope
 * and curvature; 1000 draws with a fixed seed then go through that second-order sum, and the 5% and 95% points are read off. Inputs are taken as
 * independent, and interactions between them as small: the coverage test on simulated seasons holds it to 85 to 95%.
 * Source: first-order part and contributions, JCGM 100:2008 (GUM) 5.1.2; propagation of distributions, JCGM 101:2008.
 * @returns absence when the figures themselves have no answer
 * @throws RangeProblem
 */
export function withUncertainty<S extends string, T extends Shown>(
  question: UncertaintyQuestion<S, T>,
): Maybe<{ [P in keyof T]: UncertainValue }> {
  const { inputs, evaluate, derive } = question
  const values = inputs.map((x, i) => checkNumber(`inputs[${i}].value`, x.value, { min: -1e12, max: 1e12 }))
  inputs.forEach((x, i) => {
    checkNumber(`inputs[${i}].sd`, x.sd, { min: 0, max: 1e12 })
    if ((x.min ?? -Infinity) > x.value || (x.max ?? Infinity) < x.value) {
      throw new RangeProblem(`inputs[${i}].value`, x.value, 'within its own bounds')
    }
  })
  const base = evaluate(values)
  if (isAbsent(base)) return base
  const smoothKeys = Object.keys(base) as S[]
  const bad = smoothKeys.find((k) => !Number.isFinite(base[k]))
  if (bad !== undefined) return absent(`${bad} has no value`)
  const shown = derive(base)
  const keys = Object.keys(shown) as (keyof T & string)[]

  // The same seed gives the same draws, so two cards with the same inputs show the same interval.
  const normal = normalSource(question.seed ?? usualSeed)
  const sources: Source<S>[] = []
  inputs.forEach((input, i) => {
    const steps = Float64Array.from(
      { length: draws },
      () => clamp(input.value + input.sd * normal(), input) - input.value,
    )
    if (!(input.sd > 0)) return
    const at = (target: number) => {
      const value = clamp(target, input)
      const result = value === input.value ? base : evaluate(values.map((v, k) => (k === i ? value : v)))
      // A side on which the car cannot drive says nothing of the slope: the other side speaks alone.
      return isAbsent(result) ? { x: 0, result: base } : { x: value - input.value, result }
    }
    const [down, up] = [at(input.value - input.sd), at(input.value + input.sd)]
    const shifts = smoothKeys.flatMap((key): [S, Float64Array][] => {
      const { slope, bend } = through(
        { x: down.x, y: down.result[key] - base[key] },
        { x: up.x, y: up.result[key] - base[key] },
      )
      return slope === 0 && bend === 0 ? [] : [[key, steps.map((x) => x * (slope + bend * x))]]
    })
    sources.push({ name: input.name, measure: input.measure, shifts })
  })
  for (const key of smoothKeys) {
    const noise = question.scatter?.[key]
    if (!noise) continue
    const sd = checkNumber(`scatter.${key}.sd`, noise.sd, { min: 0, max: 1e12 })
    sources.push({
      name: noise.name,
      measure: noise.measure,
      shifts: [[key, Float64Array.from({ length: draws }, () => sd * normal())]],
    })
  }

  const all = spread(base, sources, keys, derive, draws)
  const alone = sources.map((source) => spread(base, [source], keys, derive, drawsForShares))
  const answer = {} as { [P in keyof T]: UncertainValue }
  keys.forEach((key, k) => {
    const sorted = (all[k] ?? new Float64Array(draws)).sort()
    const shares = alone.map((one) => variance(one[k] ?? new Float64Array(1)))
    const total = shares.reduce((s, v) => s + v, 0)
    const value = shown[key] as number
    answer[key] = {
      value,
      low: Math.min(value, sorted[Math.floor(0.05 * draws)] as number),
      high: Math.max(value, sorted[Math.ceil(0.95 * draws) - 1] as number),
      draws: sorted,
      contributions: sources
        .map(({ name, measure }, i) => ({ name, measure, share: total > 0 ? (shares[i] ?? 0) / total : 0 }))
        .filter((c) => c.share > 0)
        .sort((a, b) => b.share - a.share),
    }
  })
  return answer
}

/** One cause of spread: what each draw of it adds to each smooth figure. */
interface Source<S extends string> {
  name: string
  measure: string
  shifts: readonly (readonly [S, Float64Array])[]
}

/** The shown figures on every draw, with these causes at work together. */
function spread<S extends string>(
  base: Record<S, number>,
  sources: readonly Source<S>[],
  keys: readonly string[],
  derive: (smooth: Record<S, number>) => Shown,
  count: number,
): Float64Array[] {
  // Each figure's shifts are summed over all draws at once: by far the most of the work, and quick in typed arrays.
  const sums = new Map<S, Float64Array>()
  for (const { shifts } of sources) {
    for (const [key, shift] of shifts) {
      const sum = sums.get(key) ?? new Float64Array(count).fill(base[key])
      for (let d = 0; d < count; d++) sum[d] = (sum[d] as number) + (shift[d] as number)
      sums.set(key, sum)
    }
  }
  const out = keys.map(() => new Float64Array(count))
  const smooth = { ...base }
  const moving = [...sums]
  for (let d = 0; d < count; d++) {
    for (const [key, sum] of moving) smooth[key] = sum[d] as number
    const shown = derive(smooth)
    keys.forEach((key, k) => {
      const column = out[k]
      if (column) column[d] = shown[key] ?? NaN
    })
  }
  return out
}

const clamp = (x: number, { min = -Infinity, max = Infinity }: UncertainInput): number =>
  Math.min(max, Math.max(min, x))

/** y = x (slope + bend x) through two points either side of 0; a straight line when one side is missing. */
function through(a: { x: number; y: number }, b: { x: number; y: number }): { slope: number; bend: number } {
  if (!Number.isFinite(a.y) || !Number.isFinite(b.y)) return { slope: 0, bend: 0 }
  if (a.x === 0 && b.x === 0) return { slope: 0, bend: 0 }
  if (a.x === 0) return { slope: b.y / b.x, bend: 0 }
  if (b.x === 0) return { slope: a.y / a.x, bend: 0 }
  const [sa, sb] = [a.y / a.x, b.y / b.x]
  const bend = (sb - sa) / (b.x - a.x)
  return { slope: sa - bend * a.x, bend }
}

function variance(x: Float64Array): number {
  const mean = x.reduce((s, v) => s + v, 0) / x.length
  return x.reduce((s, v) => s + (v - mean) ** 2, 0) / x.length
}
