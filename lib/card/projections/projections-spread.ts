import { isAbsent, withUncertainty, z90, type Maybe } from '../../setup-math'
import { INPUT_BOUNDS, moved, valuesOf } from './projections-car'
import type { ProjectionBasis } from './projections-basis'
import type { InputId, InputValues } from './projections-inputs'

export interface Spread {
  /** Half width of the 90% interval. */
  plusMinus: number
  /** What it rests on, the largest share of its variance first; inputs that do not move it are left out. */
  rests: { id: InputId; share: number }[]
  /** Absent before the first run that told it. */
  taught?: Taught
}

/** What the car's runs made of a figure. */
export interface Taught {
  /** Runs that told it. */
  runs: number
  /** Half width of its 90% interval without them. */
  before: number
}

export type Figures = Readonly<Record<string, number>>

/** Shares below this are not worth a measurement. */
const LEAST_SHARE = 0.005

/** A spread with the draws that it was read from, rising. */
export interface Interval extends Spread {
  draws: Float64Array
}

/**
 * Intervals of figures that the simulator gives: second order, by setup-math. Some 60 times two laps for a card, so it is the worker's. That nine in ten
 * outcomes lie within them is tested on simulated seasons (tests/unit/card/season-coverage.test.ts).
 *
 * @param smooth all figures without jumps at once; absence where the car can't drive
 * @param figures from those to what is shown
 */
export function intervalsOf<S extends string>(
  basis: ProjectionBasis,
  smooth: (values: InputValues) => Maybe<Record<S, number>>,
  figures: (smooth: Record<S, number>) => Readonly<Partial<Record<string, number>>>,
): Record<string, Interval> {
  const values = valuesOf(basis)
  const uncertain = basis.inputs.filter((i) => i.sd > 0)
  const answer = withUncertainty({
    inputs: uncertain.map(({ id, value, sd }) => {
      const [min, max] = INPUT_BOUNDS[id] ?? [-Infinity, Infinity]
      // What stands outside the bounds was entered: it is setup-math's to refuse, not theirs.
      return { name: id, value, sd, min: Math.min(min, value), max: Math.max(max, value), measure: '' }
    }),
    evaluate: (drawn) => {
      const tried = { ...values }
      uncertain.forEach(({ id }, i) => (tried[id] = drawn[i] ?? values[id]))
      return smooth(tried)
    },
    derive: figures,
  })
  if (isAbsent(answer)) return {}
  return Object.fromEntries(
    Object.entries(answer).map(([key, a]) => [
      key,
      {
        plusMinus: halfWidth(a.draws, a.value),
        draws: a.draws,
        rests: a.contributions
          .filter((c) => c.share >= LEAST_SHARE)
          .map((c) => ({ id: c.name as InputId, share: c.share })),
      },
    ]),
  )
}

/**
 * The half width about the value shown that holds 90% of the draws. Half of low to high would be the same for a normal law, but holds too little where the
 * distribution leans or has two humps: whether a trial saves a lap or not, its charge used is one of two.
 */
function halfWidth(draws: Float64Array, value: number): number {
  const off = draws.map((x) => Math.abs(x - value)).sort()
  return off[Math.ceil(0.9 * off.length) - 1] ?? 0
}

/**
 * First-order propagation of the inputs' uncertainty: variance = sum of (df/dx sd)², by central differences over one standard deviation
 * (JCGM 100:2008, GUM, eq. 10, inputs taken as independent).
 *
 * @param compute all figures at once; null where the car can't drive: that side is then left out
 */
export function spreadOf(
  basis: ProjectionBasis,
  compute: (values: InputValues) => Figures | null,
  base: Figures,
  only: ReadonlySet<InputId>,
): Record<string, Spread> {
  const values = valuesOf(basis)
  const shifts = new Map<string, { id: InputId; d: number }[]>()
  for (const input of basis.inputs) {
    if (!(input.sd > 0) || !only.has(input.id)) continue
    const up = moved(values, input.id, input.sd)
    const down = moved(values, input.id, -input.sd)
    const span = (up[input.id] ?? 0) - (down[input.id] ?? 0)
    if (span <= 0) continue
    const hi = compute(up) ?? base
    const lo = compute(down) ?? base
    for (const key of Object.keys(base)) {
      // At a bound one side is shorter: the slope counts, over the whole deviation.
      const d = (((hi[key] ?? NaN) - (lo[key] ?? NaN)) / span) * input.sd
      if (Number.isFinite(d) && d !== 0) {
        const list = shifts.get(key)
        if (list) list.push({ id: input.id, d })
        else shifts.set(key, [{ id: input.id, d }])
      }
    }
  }
  const out: Record<string, Spread> = {}
  for (const key of Object.keys(base)) {
    const list = shifts.get(key) ?? []
    const variance = list.reduce((sum, s) => sum + s.d ** 2, 0)
    out[key] = {
      plusMinus: z90 * Math.sqrt(variance),
      rests: list
        .map((s) => ({ id: s.id, share: s.d ** 2 / variance }))
        .filter((s) => s.share >= LEAST_SHARE)
        .sort((a, b) => b.share - a.share),
    }
  }
  return out
}
