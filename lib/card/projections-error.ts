import {
  conformalFactor,
  errorFigures,
  errorPosterior,
  errorPriors,
  isAbsent,
  pastScores,
  RangeProblem,
  restVoltage,
  type ErrorFigure,
  type ErrorPosterior,
  type ErrorRecord,
} from '../setup-math'
import { POUCH_REST_VOLTAGE } from './pouch-rest-voltage'
import type { ProjectionBasis } from './projections-basis'
import { drive, figuresOf, type Drive } from './projections-drive'
import type { InputValues } from './projections-inputs'
import type { Figures, Interval } from './projections-spread'
import type { RunRecordOf } from './run-records'

/** A card's figure as the model's error sees it: what is to be multiplied is the rise, the sag, the drop. */
const SEEN: Readonly<Record<string, { as: ErrorFigure; from: (v: InputValues) => number; sign: 1 | -1 }>> = {
  chargeUsedMah: { as: 'charge', from: () => 0, sign: 1 },
  canC: { as: 'canRise', from: (v) => v.airC ?? 22, sign: 1 },
  lowV: { as: 'lowSag', from: (v) => startVolts(v), sign: -1 },
  endV: { as: 'endDrop', from: (v) => startVolts(v), sign: -1 },
  topMps: { as: 'topSpeed', from: () => 0, sign: 1 },
  lapS: { as: 'lap', from: () => 0, sign: 1 },
  meanLapS: { as: 'lap', from: () => 0, sign: 1 },
}

const startVolts = (v: InputValues): number =>
  restVoltage(POUCH_REST_VOLTAGE, Math.min(1, Math.max(0, (v.stateOfChargePercent ?? 100) / 100)))

export const sizeOf = (key: string, value: number, v: InputValues): number => {
  const seen = SEEN[key]
  return seen ? seen.sign * (value - seen.from(v)) : value
}

export interface LearnedError {
  posteriors: Readonly<Record<ErrorFigure, ErrorPosterior>>
  /** Widening by past predictions, 1 or more. */
  widen: Readonly<Record<ErrorFigure, number>>
  /** Records of this car with charge put back. */
  chargeRecords: number
}

export const carClassOf = (basis: Pick<ProjectionBasis, 'driven' | 'limits'>): string =>
  `${basis.driven} ${basis.limits.name ?? ''}`.trim()

/** Most records that are driven anew for a projection. */
const MOST_RECORDS = 12

/** The model's error as this car's past runs tell it: each run is projected as it was geared, and what was measured stands over that. */
export function learnedError(basis: ProjectionBasis, values: InputValues): LearnedError {
  const who = { surface: basis.surface, carClass: carClassOf(basis), car: basis.carId }
  const records = Object.fromEntries(errorFigures.map((f) => [f, [] as ErrorRecord[]])) as Record<
    ErrorFigure,
    ErrorRecord[]
  >
  for (const record of basis.records.slice(-MOST_RECORDS)) {
    const then = { ...values, ...record.inputs }
    const d = driven(basis, then)
    if (!d) continue
    const f = figuresOf(d, basis.raceSeconds)
    for (const [key, measured] of Object.entries(measuredOf(record, then, d.race.laps))) {
      const as = SEEN[key]?.as
      const [is, told] = [sizeOf(key, measured, then), sizeOf(key, f[key] ?? Number.NaN, then)]
      if (as && is > 0 && told > 0) records[as].push({ ...who, logRatio: Math.log(is / told) })
    }
  }
  const each = <T>(of: (f: ErrorFigure) => T) =>
    Object.fromEntries(errorFigures.map((f) => [f, of(f)])) as Record<ErrorFigure, T>
  return {
    posteriors: each((f) => errorPosterior(errorPriors[f], records[f], who)),
    widen: each((f) => {
      const prior = errorPriors[f]
      return conformalFactor(
        pastScores(records[f], (r, before) => {
          const told = errorPosterior(prior, before, who)
          return { off: r.logRatio - told.mean, sd: deviation(prior.inputs, f, told) }
        }),
      )
    }),
    chargeRecords: records.charge.length,
  }
}

/** A past run's race as the model drives it; null where it can't, or stops: nothing is learned from that. */
function driven(basis: ProjectionBasis, then: InputValues): Drive | null {
  try {
    const d = drive(basis, then)
    return typeof d === 'string' || !isAbsent(d.race.stopped) ? null : d
  } catch (e) {
    if (e instanceof RangeProblem) return null
    throw e
  }
}

/** What was raced, by the figures' names: of the charge put back, the race's share. */
function measuredOf(record: RunRecordOf, v: InputValues, laps: number): Record<string, number> {
  const { putBackMah, ...measured } = record.measured
  const outside = (v.warmUpLaps ?? 0) + (v.toGridLaps ?? 0) + (v.afterFlagLaps ?? 0)
  const share = 1 + (outside * (v.easyLapPercent ?? 0)) / 100 / Math.max(1, laps)
  return { ...measured, ...(putBackMah !== undefined && { chargeUsedMah: putBackMah / share }) }
}

/** One deviation of the next run's log-ratio, the inputs' own share given. */
function deviation(inputs: number, figure: ErrorFigure, posterior: ErrorPosterior): number {
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
  basis: ProjectionBasis,
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
    const inputs = (known[key]?.plusMinus ?? 0) / 1.645 / Math.max(1e-9, size)
    return as ? error.widen[as] * deviation(inputs, as, error.posteriors[as]) : inputs
  }
  const put = (key: string, sd: number, rests: Interval['rests']) => {
    const value = shown[key] ?? 0
    out[key] = { plusMinus: 1.645 * sd, draws: normalDraws(value, sd), rests }
  }
  for (const key of Object.keys(SEEN)) {
    const one = known[key]
    if (one) put(key, relative(key) * Math.abs(sizeOf(key, shown[key] ?? 0, v)), one.rests)
  }
  if (known['distanceLaps'])
    put('distanceLaps', relative('meanLapS') * (shown['distanceLaps'] ?? 0), known['distanceLaps'].rests)
  if (known['chargeLeftPercent']) {
    const start = v.stateOfChargePercent ?? 100
    const used = start - (shown['chargeLeftPercent'] ?? start)
    // Of what is left, the charge used and the capacity are both open; the capacity's part is what the inputs say beyond the charge's.
    const charge = relative('chargeUsedMah') * used
    const all = (known['chargeLeftPercent'].plusMinus ?? 0) / 1.645
    const byCharge =
      ((known['chargeUsedMah']?.plusMinus ?? 0) / 1.645 / Math.max(1e-9, f['chargeUsedMah'] ?? 1)) * used
    const capacity = Math.sqrt(Math.max(0, all * all - byCharge * byCharge))
    put('chargeLeftPercent', Math.hypot(charge, capacity), known['chargeLeftPercent'].rests)
  }
  return out
}

/**
 * What of a difference between two cards the model itself may have wrong, one deviation: a share of the difference, and of the size of the figure. Most of the
 * model's error is that of the car and the track, and both sides have it. Set on pairs of the referee's races (seeds to build with: one driver, one day, another
 * pinion or winding); common practice, no source. The lap's holds some nine in ten of the differences that the referee drives, what a driver makes of two races
 * among them, about 1 % of a lap: narrower, more signs were told and too many of them wrong.
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
  return Math.hypot(byInputs * grown, 1.645 * model)
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
