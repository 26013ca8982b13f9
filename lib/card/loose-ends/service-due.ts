import type { BoardView, Car, KitRecord } from '../../board'

export interface ServiceState {
  rule: KitRecord<'serviceRules'>
  carId: string
  /** Since it was last done, else since the car's counts began. */
  runs: number
  hours: number
  /** The last time it was done; undefined where nobody said. */
  last: KitRecord<'serviceDone'> | undefined
  /** Share of its interval that is used up, by runs or hours, whichever is further; due from 1 on. */
  used: number
}

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
      // Counts that were put right to less than they were: nothing has run since.
      const runs = Math.max(0, (car.runs ?? 0) - (last?.runs ?? 0))
      const hours = Math.max(0, (car.runMinutes ?? 0) - (last?.runMinutes ?? 0)) / 60
      const used = Math.max(
        rule.afterRuns ? runs / rule.afterRuns : 0,
        rule.afterHours ? hours / rule.afterHours : 0,
      )
      return { rule, carId: car.id, runs, hours, last, used }
    })
    .sort((a, b) => b.used - a.used || (a.rule.id < b.rule.id ? -1 : 1))
}
