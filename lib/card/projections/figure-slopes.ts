import { errorFigures, isAbsent, restVoltage, type ErrorFigure } from '../../setup-math'
import type { Slopes } from '../../learning'
import { POUCH_REST_VOLTAGE } from './pouch-rest-voltage'
import type { ProjectionBasis } from './projections-basis'
import { moved } from './projections-car'
import { nearDrive, PROJECTED_AS, type Drive } from './projections-drive'
import type { InputId, InputValues } from './projections-inputs'

interface Seen {
  as: ErrorFigure
  /** The size begins here: what is to be multiplied is the rise, the sag, the drop. */
  from: (v: InputValues) => number
  sign: 1 | -1
}

const startVolts = (v: InputValues): number =>
  restVoltage(POUCH_REST_VOLTAGE, Math.min(1, Math.max(0, (v.stateOfChargePercent ?? 100) / 100)))

/** A card's figures as the model's error sees them. */
export const SEEN: Readonly<Record<string, Seen>> = {
  chargeUsedMah: { as: 'charge', from: () => 0, sign: 1 },
  canC: { as: 'canRise', from: (v) => v.airC ?? 22, sign: 1 },
  lowV: { as: 'lowSag', from: (v) => startVolts(v), sign: -1 },
  endV: { as: 'endDrop', from: (v) => startVolts(v), sign: -1 },
  topMps: { as: 'topSpeed', from: () => 0, sign: 1 },
  lapS: { as: 'lap', from: () => 0, sign: 1 },
  meanLapS: { as: 'lap', from: () => 0, sign: 1 },
}

export const sizeOf = (key: string, value: number, v: InputValues): number => {
  const seen = SEEN[key]
  return seen ? seen.sign * (value - seen.from(v)) : value
}

/** The figure of a card that stands for each error. */
export const MEASURED_AS: Readonly<Record<ErrorFigure, string>> = {
  charge: 'chargeUsedMah',
  canRise: 'canC',
  lowSag: 'lowV',
  endDrop: 'endV',
  topSpeed: 'topMps',
  lap: 'meanLapS',
}

/** What is another every run, and told on the day: no run says anything about the next one's. */
export const OF_THE_RUN: ReadonlySet<InputId> = new Set(['stateOfChargePercent', 'airC'])

/** How much is driven outside the race: in what the charger puts back, in no figure of the race. */
const AROUND_THE_RACE: ReadonlySet<InputId> = new Set([
  'warmUpLaps',
  'toGridLaps',
  'afterFlagLaps',
  'easyLapPercent',
])

export interface CardSlopes {
  /** Of what stays from run to run. */
  lasting: Slopes
  /** Of what is the run's own, per unit of it. */
  ofTheRun: Partial<Record<InputId, Record<ErrorFigure, number>>>
}

/**
 * What the inputs do to the logarithm of each figure, by central differences over one standard deviation of each: two laps for each side. Null where the car
 * does not get round.
 */
export function figureSlopes(basis: ProjectionBasis, values: InputValues, driven: Drive): CardSlopes | null {
  const near = nearDrive(basis, values, driven)
  if (isAbsent(near)) return null
  const logs = (v: InputValues): Record<ErrorFigure, number> | null => {
    const smooth = near.smooth(v)
    if (isAbsent(smooth)) return null
    const shown = near.figures(smooth)
    return each((f) => {
      const key = MEASURED_AS[f]
      const [name, times] = PROJECTED_AS[key] ?? []
      return Math.log(sizeOf(key, (times ?? 1) * ((name && shown[name]) ?? Number.NaN), v))
    })
  }
  const base = logs(values)
  if (!base) return null
  const out: CardSlopes = { lasting: each(() => ({})), ofTheRun: {} }
  for (const { id, sd } of basis.inputs) {
    if (!(sd > 0)) continue
    // Moves nothing of the race itself: no lap need be driven for it.
    if (AROUND_THE_RACE.has(id)) {
      for (const f of errorFigures) (out.lasting[f] as Record<string, number>)[id] = 0
      continue
    }
    const side = (by: number) => {
      const to = moved(values, id, by)
      const of = logs(to)
      // A side on which the car can't drive says nothing: the other speaks alone, and from the card's own value.
      return of ? { of, at: to[id] ?? 0 } : { of: base, at: values[id] ?? 0 }
    }
    const [hi, lo] = [side(sd), side(-sd)]
    const span = hi.at - lo.at
    if (!(span > 0)) continue
    const slope = each((f) => {
      const by = (hi.of[f] - lo.of[f]) / span
      return Number.isFinite(by) ? by : 0
    })
    if (OF_THE_RUN.has(id)) out.ofTheRun[id] = slope
    else for (const f of errorFigures) (out.lasting[f] as Record<string, number>)[id] = slope[f] * sd
  }
  return out
}

const each = <T>(of: (f: ErrorFigure) => T): Record<ErrorFigure, T> =>
  Object.fromEntries(errorFigures.map((f) => [f, of(f)])) as Record<ErrorFigure, T>
