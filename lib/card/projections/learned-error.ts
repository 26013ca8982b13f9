import { errorFigures, errorPriors, type ErrorFigure } from '../../setup-math'
import { learnErrors, type Learned, type Reading } from '../../learning'
import { figureSlopes, MEASURED_AS, OF_THE_RUN, sizeOf, type CardSlopes } from './figure-slopes'
import type { ProjectionBasis } from './projections-basis'
import { drivenToFinish, figuresOf, type Drive } from './projections-drive'
import type { InputId, InputValues } from './projections-inputs'
import type { Figures } from './projections-spread'
import type { RunRecordOf } from './run-records'

export interface LearnedError {
  posteriors: Readonly<Record<ErrorFigure, { mean: number; left: number }>>
  /** Widening by past predictions, 1 or more. */
  widen: Readonly<Record<ErrorFigure, number>>
  /** Records of this car with charge put back. */
  chargeRecords: number
  /** All of it; null before the first record. */
  learned: Learned | null
}

export const carClassOf = (basis: Pick<ProjectionBasis, 'driven' | 'limits'>): string =>
  `${basis.driven} ${basis.limits.name ?? ''}`.trim()

/**
 * The model's error as this car's past runs tell it: each run is projected as it was set up, and what was measured stands over that. Runs with one setup are
 * driven once; a run's own air and charge come in by slopes.
 */
export function learnedError(basis: ProjectionBasis, values: InputValues): LearnedError {
  const records = basis.records.filter((r) => !r.forgotten)
  const slopes = records.length > 0 ? slopesOf(basis, values) : null
  if (!slopes) return { ...untaught, chargeRecords: 0 }
  const who = { surface: basis.surface, carClass: carClassOf(basis), car: basis.carId }
  const readings: Reading[] = []
  let apart = 0
  for (const record of records) {
    const then = { ...values, ...record.inputs }
    const { raceSeconds = basis.raceSeconds, trigger = basis.trigger } = record
    const model = modelOf({ ...basis, raceSeconds, trigger }, values, then, slopes)
    if (!model) continue
    const measured = measuredOf(record, then, model.laps)
    if (record.measured.putBackMah !== undefined) apart = outsideDeviation(basis, then, model.laps)
    for (const figure of errorFigures) {
      const key = MEASURED_AS[figure]
      const [is, told] = [sizeOf(key, measured[key] ?? Number.NaN, then), model.sizes[figure]]
      if (is > 0 && told > 0)
        readings.push({
          ...who,
          record: record.runId,
          at: record.at ?? 0,
          figure,
          logRatio: Math.log(is / told),
        })
    }
  }
  const trusted = new Set(records.filter((r) => r.trusted).map((r) => r.runId))
  const learned = learnErrors({ who, readings, slopes: slopes.lasting, apart: { charge: apart }, trusted })
  return {
    posteriors: learned.figures,
    widen: Object.fromEntries(
      errorFigures.map((f) => [f, learned.figures[f].widen]),
    ) as LearnedError['widen'],
    chargeRecords: learned.figures.charge.readings,
    learned,
  }
}

const untaught: Omit<LearnedError, 'chargeRecords'> = {
  posteriors: Object.fromEntries(
    errorFigures.map((f) => [f, { mean: errorPriors[f].mean, left: 1 }]),
  ) as LearnedError['posteriors'],
  widen: Object.fromEntries(errorFigures.map((f) => [f, 1])) as LearnedError['widen'],
  learned: null,
}

interface Driven {
  laps: number
  figures: Figures
  drive: Drive
}

/** What was computed before, by what it rests on: a record more costs one race more. Pure, so that it may be forgotten at any time. */
class Memory<T> {
  readonly #known = new Map<string, T>()
  constructor(readonly most: number) {}
  get(key: string, make: () => T): T {
    const known = this.#known.get(key)
    if (known !== undefined) {
      // The longest unused goes first.
      this.#known.delete(key)
      this.#known.set(key, known)
      return known
    }
    const made = make()
    this.#known.set(key, made)
    const oldest = this.#known.keys().next().value
    if (this.#known.size > this.most && oldest !== undefined) this.#known.delete(oldest)
    return made
  }
  clear(): void {
    this.#known.clear()
  }
}
const drives = new Memory<Driven | null>(300)
const cardSlopes = new Memory<CardSlopes | null>(60)

/** For benches: what a phone that has just started has to do. */
export function forgetDrives(): void {
  drives.clear()
  cardSlopes.clear()
}

const groundOf = (basis: ProjectionBasis, v: InputValues): string =>
  JSON.stringify([basis.driven, basis.segments, basis.raceSeconds, basis.trigger, v])

/** A race as the model drives it; null where it can't, or stops before the flag: nothing is learned from that. */
function drivenOf(basis: ProjectionBasis, v: InputValues): Driven | null {
  return drives.get(groundOf(basis, v), () => {
    const d = drivenToFinish(basis, v)
    return d && { laps: d.race.laps, figures: figuresOf(d, basis.raceSeconds), drive: d }
  })
}

function slopesOf(basis: ProjectionBasis, values: InputValues): CardSlopes | null {
  const key = groundOf(basis, values) + JSON.stringify(basis.inputs.map((i) => [i.id, i.sd]))
  return cardSlopes.get(key, () => {
    const d = drivenOf(basis, values)
    return d && figureSlopes(basis, values, d.drive)
  })
}

/** Sizes of a past run's figures as the model has them. */
function modelOf(
  basis: ProjectionBasis,
  values: InputValues,
  then: InputValues,
  { ofTheRun }: CardSlopes,
): { laps: number; sizes: Record<ErrorFigure, number> } | null {
  const setup = { ...then }
  for (const id of OF_THE_RUN) setup[id] = values[id]
  const d = drivenOf(basis, setup)
  if (!d) return null
  const sizes = Object.fromEntries(
    errorFigures.map((f) => {
      const key = MEASURED_AS[f]
      let log = Math.log(sizeOf(key, d.figures[key] ?? Number.NaN, setup))
      for (const [id, slope] of Object.entries(ofTheRun) as [InputId, Record<ErrorFigure, number>][])
        log += slope[f] * ((then[id] ?? 0) - (setup[id] ?? 0))
      return [f, Math.exp(log)]
    }),
  ) as Record<ErrorFigure, number>
  return { laps: d.laps, sizes }
}

/** Share of what the charger puts back that was raced, as one over this. */
function outsideShare(v: InputValues, laps: number): number {
  const outside = (v.warmUpLaps ?? 0) + (v.toGridLaps ?? 0) + (v.afterFlagLaps ?? 0)
  return 1 + (outside * (v.easyLapPercent ?? 0)) / 100 / Math.max(1, laps)
}

/** One deviation of the logarithm of that share: nobody counts the laps around a race, so every charge that is put back is off by the same habit. */
function outsideDeviation(basis: ProjectionBasis, v: InputValues, laps: number): number {
  const by = (id: InputId) => {
    const sd = basis.inputs.find((i) => i.id === id)?.sd ?? 0
    return Math.log(outsideShare({ ...v, [id]: (v[id] ?? 0) + sd }, laps) / outsideShare(v, laps))
  }
  return Math.hypot(by('warmUpLaps'), by('toGridLaps'), by('afterFlagLaps'), by('easyLapPercent'))
}

/** What was raced, by the figures' names: of the charge put back, the race's share. */
function measuredOf(record: RunRecordOf, v: InputValues, laps: number): Record<string, number> {
  const { putBackMah, ...measured } = record.measured
  return {
    ...measured,
    ...(putBackMah !== undefined && { chargeUsedMah: putBackMah / outsideShare(v, laps) }),
  }
}
