import type { BoardView, Car, KitRecord } from '../../board'

export interface ServiceState {
  rule: KitRecord<'serviceRules'>
  carId: string
  /** Since it was last done, else since the car's counts began. */
  runs: number
  hours: number
  /** The last time it was done; undefined where nobody said. */
  last: KitRecord<'serviceDone'> | undefined
  /** The car's counts were put right to less than they were then: what has run since can't be told until it is signed anew. */
  isBehind: boolean
  /** Share of its interval that is used up, by runs or hours, whichever is further; due from 1 on. */
  used: number
}

/** So much may fall away by a finish that is taken back, or a car that did not start after all; the next run brings it back. */
const ONE_RUN = { runs: 1, minutes: 15 }

/** Every service rule that fits a car, the most due first. A rule without an interval is never due. */
export function serviceOf(
  view: Pick<BoardView, 'serviceRules' | 'serviceDone'>,
  car: Car,
): readonly ServiceState[] {
  return view.serviceRules.live
    .filter((rule) => !rule.carId || rule.carId === car.id)
    .map((rule) => {
      const last = view.serviceDone.live
        .filter((d) => d.carId === car.id && d.serviceRuleId === rule.id && d.done)
        .reduce<KitRecord<'serviceDone'> | undefined>(
          (a, b) => (a && (a.done?.at ?? 0) >= (b.done?.at ?? 0) ? a : b),
          undefined,
        )
      const isBehind =
        (last?.runs ?? 0) - (car.runs ?? 0) > ONE_RUN.runs ||
        (last?.runMinutes ?? 0) - (car.runMinutes ?? 0) > ONE_RUN.minutes
      const runs = Math.max(0, (car.runs ?? 0) - (last?.runs ?? 0))
      const hours = Math.max(0, (car.runMinutes ?? 0) - (last?.runMinutes ?? 0)) / 60
      const used = Math.max(
        rule.afterRuns ? runs / rule.afterRuns : 0,
        rule.afterHours ? hours / rule.afterHours : 0,
      )
      return { rule, carId: car.id, runs, hours, last, isBehind, used }
    })
    .sort((a, b) => b.used - a.used || (a.rule.id < b.rule.id ? -1 : 1))
}
