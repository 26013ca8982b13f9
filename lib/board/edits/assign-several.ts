import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import type { Setting } from '../field'
import { joinId } from '../flat-key'
import { parameterOf } from '../parameters'
import { runEdit, type EditContext } from '../write-session'
import { checkSetting } from './check-setting'

/**
 * A card asks for many values at once: those of another car, of an earlier run, or what is in the car. One edit, so one undo; refused as a whole
 * by the first value that the card can't hold. Returns how many were written.
 */
export function assignSeveral(
  ctx: EditContext,
  view: BoardView,
  t: { carId: string; values: readonly { parameterId: string; value: Setting }[]; why?: string },
): Result<number> {
  return runEdit(ctx, 'assign-several', (w) => {
    if (!view.cars.get(t.carId))
      return refuse('Car', t.carId, 'is not in the kit', 'Pick a car from the kit.')
    for (const { parameterId, value } of t.values) {
      const p = parameterOf(view, t.carId, parameterId)
      if (!p)
        return refuse(
          'Value',
          parameterId,
          'is not on this car’s card',
          'Check the car’s speed control in the kit.',
        )
      const fits = checkSetting(p, value)
      if (!fits.ok) return fits
      const id = joinId(t.carId, parameterId)
      w.meeting('cardValues', id, { assigned: w.stamp(value, t.why) })
      if (view.cardValues.get(id)?.cannot?.v) w.meeting('cardValues', id, { cannot: w.stamp(null) })
    }
    return ok(t.values.length)
  })
}
