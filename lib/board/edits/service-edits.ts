import { newId } from '../../core/id'
import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import { runEdit, type EditContext } from '../write-session'

/** A service was done now: its count begins anew at what the car has run. */
export function signService(
  ctx: EditContext,
  view: BoardView,
  t: { carId: string; serviceRuleId: string },
): Result<string> {
  return runEdit(ctx, 'service', (w) => {
    const car = view.cars.get(t.carId)
    if (!car) return refuse('Car', t.carId, 'is not in the kit', 'Pick a car from the kit.')
    if (!view.serviceRules.get(t.serviceRuleId))
      return refuse('Service rule', t.serviceRuleId, 'is not in the kit', 'Pick one from the kit.')
    const id: string = newId()
    w.kit('serviceDone', id, { ...t, runs: car.runs ?? 0, runMinutes: car.runMinutes ?? 0, done: w.sign() })
    return ok(id)
  })
}
