import { settingText } from '../../core/setting-text'
import type { BoardView } from '../../board'
import { cardRows, rowIsLoose, type CardRow } from './card-rows'
import { factsOf, type Fact } from '../staging/facts'
import { openFollowUps } from '../loose-ends/follow-ups'
import type { RunInfo } from '../day/runs'

/** A card in short: what the overview says of a car, beside its projections. */
export interface CardTicket {
  carId: string
  name: string
  driverId: string | null
  className: string
  /** Of the next run; empty when none is to come. */
  facts: Fact[]
  hasRun: boolean
  /** The first loose values, in words. */
  loose: { parameterId: string; label: string; text: string }[]
  looseCount: number
  /** Names of the open follow-ups. */
  followUps: string[]
  /** Anything at all is assigned. */
  isSet: boolean
}

/** So many loose values are named; the rest is a number. */
const NAMED = 3

export function cardTicket(view: BoardView, carId: string, run: RunInfo | undefined): CardTicket {
  const car = view.cars.get(carId)
  const rows = cardRows(view, carId)
  const loose = rows.filter(rowIsLoose)
  return {
    carId,
    name: car?.name ?? 'Car',
    driverId: car?.driverId ?? null,
    className: run?.raceClass?.name ?? (car?.drive === '2wd' ? '2WD' : '4WD'),
    facts: run ? factsOf(view, run) : [],
    hasRun: run !== undefined,
    loose: loose.slice(0, NAMED).map((r) => ({
      parameterId: r.parameter.id,
      label: r.parameter.label,
      text: looseText(r),
    })),
    looseCount: loose.length,
    followUps: openFollowUps(view, carId).map((f) => f.name),
    isSet: rows.some((r) => r.assigned !== null),
  }
}

function looseText({ state, assigned, fitted, parameter }: CardRow): string {
  if (state === 'not-read-back') return 'not read back'
  return `${settingText(fitted)} → ${settingText(assigned, parameter.unit)}`
}
