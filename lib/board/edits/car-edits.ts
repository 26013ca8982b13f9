import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import { runEdit, type EditContext } from '../write-session'
import { openFollowUps } from './open-follow-ups'

/**
 * Another motor is in the car. Opens the follow-ups that it calls for, unless no motor was known before. Without an open meeting there is no
 * card to open them on: only the kit says so then.
 */
export function changeMotor(
  ctx: EditContext,
  view: BoardView,
  t: { carId: string; motorId: string | null },
): Result<void> {
  return runEdit(ctx, 'change-motor', (w) => {
    const car = view.cars.get(t.carId)
    if (!car) return refuse('Car', t.carId, 'is not in the kit', 'Pick a car from the kit.')
    const motor = view.motors.get(t.motorId)
    if (t.motorId !== null && (!motor || motor.removed))
      return refuse('Motor', t.motorId, 'is not in the kit', 'Pick a motor from the kit.')
    const other = view.cars.live.find(
      (c) => c.id !== t.carId && t.motorId !== null && c.motorId === t.motorId,
    )
    if (other)
      return refuse(
        'Motor',
        motor?.name,
        `is in ${other.name ?? 'another car'} on the board`,
        'Take it out there first, or pick another one.',
      )
    w.kit('cars', t.carId, { motorId: t.motorId })
    const was = view.motors.get(car.motorId)?.name
    if (ctx.docs.meeting && car.motorId && car.motorId !== t.motorId)
      openFollowUps(w, view, t.carId, 'motor', `Motor ${was ?? '?'} → ${motor?.name ?? 'none'}`)
    return ok(undefined)
  })
}

/** Another speed control is in the car: its card holds that one's own list from now on. Follow-ups as with a motor. */
export function changeController(
  ctx: EditContext,
  view: BoardView,
  t: { carId: string; controllerId: string | null },
): Result<void> {
  return runEdit(ctx, 'change-controller', (w) => {
    const car = view.cars.get(t.carId)
    if (!car) return refuse('Car', t.carId, 'is not in the kit', 'Pick a car from the kit.')
    const next = view.controllers.get(t.controllerId)
    if (t.controllerId !== null && (!next || next.removed))
      return refuse(
        'Speed control',
        t.controllerId,
        'is not in the kit',
        'Pick a speed control from the kit.',
      )
    w.kit('cars', t.carId, { controllerId: t.controllerId })
    const was = view.controllers.get(car.controllerId)?.name
    if (ctx.docs.meeting && car.controllerId && car.controllerId !== t.controllerId)
      openFollowUps(w, view, t.carId, 'controller', `Speed control ${was ?? '?'} → ${next?.name ?? 'none'}`)
    return ok(undefined)
  })
}
