import {
  CAN_STOP,
  compareCards,
  drivenToFinish,
  figuresOf,
  lapProjections,
  learnedError,
  valuesOf,
  withModelError,
  type Figures,
  type InputValues,
  type ProjectionBasis,
} from '../card'
import type { Change } from './changes'

/** A pack is not run below this share of its charge, %. Common practice, no source. */
const LEAST_CHARGE = 15
/** What a cooler motor may cost, share of a lap. */
const MOST_LOSS = 0.03

export interface Effect {
  key: string
  label: string
  unit: string
  digits: number
  by: number
  /** Half of a 90% interval. */
  plusMinus: number
}

export interface Suggestion {
  aim: 'cooler' | 'faster'
  change: Change
  /** What it is for, in a sentence. */
  reason: string
  effects: Effect[]
  /** The can gets hotter by it, or may: read it early. */
  caution: 'can' | null
  /** Runs of this car that the projections rest on. */
  runs: number
}

/** Effects that a team weighs. */
const TOLD = ['meanLapS', 'canC', 'chargeUsedMah', 'topMps'] as const

/**
 * The changes that what-if stands behind: a cooler motor where it may pass the limit, a faster lap where the gain is more than its own ±. Mostly there are none.
 * Each change is driven as a whole race; only the best of them gets its ±. Pure: the same on every phone.
 */
export function suggest(basis: ProjectionBasis, changes: readonly Change[]): Suggestion[] {
  if (basis.lacks.length > 0 || !basis.segments || changes.length === 0) return []
  const values = valuesOf(basis)
  const error = learnedError(basis, values)
  const figures = (v: InputValues): Figures | null => {
    // A trial that does not reach the flag has no lap to compare, whatever its first laps were.
    const d = drivenToFinish(basis, v)
    return d && withModelError(figuresOf(d, basis.raceSeconds), v, error, basis.raceSeconds)
  }
  const today = figures(values)
  if (!today) return []
  const at = (f: Figures, key: string) => f[key] ?? Number.NaN
  // With a cell below the cutoff under load the speed control ends the race, whatever its laps were until then.
  const holds = (f: Figures) => values.cutoffV === undefined || at(f, 'lowV') >= values.cutoffV
  const trials = changes.flatMap((change) => {
    const trial = { ...values, ...Object.fromEntries(change.inputs.map((i) => [i.id, i.value])) }
    const f = figures(trial)
    return f && holds(f) ? [{ change, f }] : []
  })
  const projected = lapProjections(basis).figures.find((p) => p.id === 'can')
  const canHalf = projected?.plusMinus ?? 0
  const runs = new Set(error.learned?.readings.filter((r) => r.state !== 'set-aside').map((r) => r.record))
    .size
  const hasCan = (error.learned?.figures.canRise.readings ?? 0) > 0
  // Without a reading the can's ± is so wide that it would always reach the limit.
  const reach = (f: Figures) => at(f, 'canC') + (hasCan ? canHalf / 2 : 0)
  const isHot = reach(today) > CAN_STOP
  const lap = at(today, 'meanLapS')
  const out: Suggestion[] = []
  const add = (aim: Suggestion['aim'], change: Change, reason: string, stands: (e: Effect[]) => boolean) => {
    const trial = withChange(basis, change)
    const effects = compareCards(basis, trial).differences.flatMap((d): Effect[] =>
      (TOLD as readonly string[]).includes(d.key)
        ? [
            {
              key: d.key,
              label: d.label,
              unit: d.unit,
              digits: d.digits,
              by: d.trial - d.today,
              plusMinus: d.plusMinus,
            },
          ]
        : [],
    )
    const isHotter = change.caution === 'can' || (effect(effects, 'canC')?.by ?? 0) > 0
    if (effects.length > 0 && stands(effects))
      out.push({ aim, change, reason, effects, caution: isHotter ? 'can' : null, runs })
  }
  const effect = (effects: readonly Effect[], key: string) => effects.find((e) => e.key === key)
  if (isHot) {
    const cooler = trials
      .filter(({ f, change }) => !change.caution && at(f, 'canC') < at(today, 'canC') - 2)
      .filter(({ f }) => at(f, 'meanLapS') < lap * (1 + MOST_LOSS))
    const enough = cooler.filter(({ f }) => reach(f) <= CAN_STOP)
    const best = enough.length
      ? least(enough, ({ f }) => at(f, 'meanLapS'))
      : least(cooler, ({ f }) => at(f, 'canC'))
    if (best)
      add(
        'cooler',
        best.change,
        `The motor can is projected at ${Math.round(at(today, 'canC'))}°C; stop above ${CAN_STOP}°C.`,
        (e) => sureOf(effect(e, 'canC'), -1),
      )
  }
  // False where a figure is not known: nothing is faster at the price of what nobody can say.
  const fits = (f: Figures) => reach(f) <= CAN_STOP && at(f, 'chargeLeftPercent') >= LEAST_CHARGE
  const fastest = isHot
    ? undefined
    : least(
        trials.filter(({ f }) => fits(f)),
        ({ f }) => at(f, 'meanLapS'),
      )
  if (fastest && at(fastest.f, 'meanLapS') < lap)
    add('faster', fastest.change, 'It gains more than its own ± on this track.', (e) =>
      sureOf(effect(e, 'meanLapS'), -1),
    )
  return out
}

/** Whether an effect has this sign by more than the whole of its own ±. */
const sureOf = (e: Effect | undefined, sign: 1 | -1): boolean => e !== undefined && sign * e.by > e.plusMinus

const withChange = (basis: ProjectionBasis, change: Change): ProjectionBasis => ({
  ...basis,
  inputs: basis.inputs.map((i) => {
    const to = change.inputs.find((x) => x.id === i.id)
    return to ? { ...i, value: to.value } : i
  }),
})

function least<T>(xs: readonly T[], of: (x: T) => number): T | undefined {
  let best: T | undefined
  for (const x of xs) if (Number.isFinite(of(x)) && (!best || of(x) < of(best))) best = x
  return best
}
