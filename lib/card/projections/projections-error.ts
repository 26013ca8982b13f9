import { errorPriors, z90, type ErrorFigure } from '../../setup-math'
import { SEEN, sizeOf } from './figure-slopes'
import type { LearnedError } from './learned-error'
import type { InputValues } from './projections-inputs'
import type { Figures, Interval, Taught } from './projections-spread'

/** One deviation of the next run's log-ratio, the inputs' own share given. */
function deviation(inputs: number, figure: ErrorFigure, posterior: { left: number }): number {
  const { surface, carClass, car, run } = errorPriors[figure]
  const common = surface ** 2 + carClass ** 2 + car ** 2 + inputs ** 2
  return Math.sqrt(posterior.left * common + run ** 2)
}

/** The figures with what the model leaves out on average, as far as the records tell. */
export function withModelError(
  f: Figures,
  v: InputValues,
  error: LearnedError,
  raceSeconds: number,
): Figures {
  const out: Record<string, number> = { ...f }
  for (const [key, { as, from, sign }] of Object.entries(SEEN)) {
    const value = f[key]
    if (value === undefined) continue
    out[key] = from(v) + sign * sizeOf(key, value, v) * Math.exp(error.posteriors[as].mean)
  }
  if (out['meanLapS']) out['distanceLaps'] = raceSeconds / out['meanLapS']
  const charge = (out['chargeUsedMah'] ?? 0) / Math.max(1e-9, f['chargeUsedMah'] ?? 1)
  const used = 100 - (f['chargeLeftPercent'] ?? 100)
  const start = v.stateOfChargePercent ?? 100
  if (f['chargeLeftPercent'] !== undefined)
    out['chargeLeftPercent'] = Math.max(0, start - (used - (100 - start)) * charge)
  return out
}

/**
 * The intervals with the model's error in them. What the records tell of a car holds for its inputs as well as for the model: both shrink together.
 * `f`: figures as the model gives them; `shown`: with its error on average.
 */
export function intervalsWithError(
  v: InputValues,
  f: Figures,
  shown: Figures,
  known: Readonly<Record<string, Interval>>,
  error: LearnedError,
): Record<string, Interval> {
  const out: Record<string, Interval> = { ...known }
  const relative = (key: string): number => {
    const { as } = SEEN[key] ?? {}
    const size = Math.abs(sizeOf(key, f[key] ?? 1, v))
    const inputs = (known[key]?.plusMinus ?? 0) / z90 / Math.max(1e-9, size)
    return as ? error.widen[as] * deviation(inputs, as, error.posteriors[as]) : inputs
  }
  /** The same before any run of the car: what the ± would be. */
  const taught = (key: string, sd: number): { taught?: Taught } => {
    const as = SEEN[key]?.as
    const told = as && error.learned?.figures[as]
    if (!as || !told || told.readings === 0) return {}
    const size = Math.abs(sizeOf(key, f[key] ?? 1, v))
    const inputs = (known[key]?.plusMinus ?? 0) / z90 / Math.max(1e-9, size)
    const wider = deviation(inputs, as, { left: 1 }) / Math.max(1e-9, relative(key))
    return { taught: { runs: told.readings, before: z90 * sd * wider } }
  }
  const put = (key: string, sd: number, rests: Interval['rests'], by = key) => {
    const value = shown[key] ?? 0
    out[key] = { plusMinus: z90 * sd, draws: normalDraws(value, sd), rests, ...taught(by, sd) }
  }
  for (const key of Object.keys(SEEN)) {
    const one = known[key]
    if (one) put(key, relative(key) * Math.abs(sizeOf(key, shown[key] ?? 0, v)), one.rests)
  }
  if (known['distanceLaps'])
    put(
      'distanceLaps',
      relative('meanLapS') * (shown['distanceLaps'] ?? 0),
      known['distanceLaps'].rests,
      'meanLapS',
    )
  if (known['chargeLeftPercent']) {
    const start = v.stateOfChargePercent ?? 100
    const used = start - (shown['chargeLeftPercent'] ?? start)
    // Of what is left, the charge used and the capacity are both open; the capacity's part is what the inputs say beyond the charge's.
    const charge = relative('chargeUsedMah') * used
    const all = known['chargeLeftPercent'].plusMinus / z90
    const byCharge =
      ((known['chargeUsedMah']?.plusMinus ?? 0) / z90 / Math.max(1e-9, f['chargeUsedMah'] ?? 1)) * used
    const capacity = Math.sqrt(Math.max(0, all * all - byCharge * byCharge))
    put('chargeLeftPercent', Math.hypot(charge, capacity), known['chargeLeftPercent'].rests)
  }
  return out
}

/**
 * What of a difference between two cards the model itself may have wrong, one deviation: a share of the difference, and of the size of the figure. Most of the
 * model's error is that of the car and the track, and both sides have it. Set on pairs of the referee's races (seeds to build with: one driver, one day, another
 * pinion or winding); common practice, no source. The lap's holds some nine in ten of the differences that the referee drives, what a driver makes of two races
 * among them, about 1% of a lap: narrower, more signs were told and too many of them wrong.
 */
const DIFFERENCE: Readonly<Record<ErrorFigure, { share: number; ofSize: number }>> = {
  charge: { share: 0.3, ofSize: 0.03 },
  canRise: { share: 0.3, ofSize: 0.06 },
  lowSag: { share: 0.3, ofSize: 0.04 },
  endDrop: { share: 0.3, ofSize: 0.03 },
  topSpeed: { share: 0.3, ofSize: 0.02 },
  lap: { share: 0.1, ofSize: 0.012 },
}

/** Half width of a difference: what the inputs say, and the model's own error of it. Two cards alike differ in nothing. */
export function differenceHalfWidth(
  key: string,
  { today, trial }: { today: number; trial: number },
  byInputs: number,
  v: InputValues,
  error: LearnedError,
): number {
  const seen = SEEN[key]
  if (!seen || today === trial) return byInputs
  const grown = Math.exp(error.posteriors[seen.as].mean)
  const { share, ofSize } = DIFFERENCE[seen.as]
  const model = share * Math.abs(trial - today) + ofSize * Math.abs(sizeOf(key, today, v))
  return Math.hypot(byInputs * grown, z90 * model)
}

/** 1000 evenly likely points of a normal law, rising. */
const normalDraws = (mean: number, sd: number): Float64Array =>
  Float64Array.from({ length: 1000 }, (_, i) => mean + sd * quantileOf((i + 0.5) / 1000))

/** The normal law's quantile: Abramowitz, Stegun 26.2.23, good to 4.5e-4. */
function quantileOf(p: number): number {
  const q = Math.min(p, 1 - p)
  const t = Math.sqrt(-2 * Math.log(q))
  const x =
    t -
    (2.515517 + 0.802853 * t + 0.010328 * t * t) / (1 + 1.432788 * t + 0.189269 * t * t + 0.001308 * t ** 3)
  return p < 0.5 ? -x : x
}
