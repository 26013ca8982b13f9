import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import type { Setting } from '../field'
import { joinId } from '../flat-key'
import { parameterOf, type CardParameter } from '../parameters'
import { runEdit, type EditContext, type Writer } from '../write-session'
import { checkSetting } from './check-setting'
import { openFollowUps } from './open-follow-ups'

interface CardTarget {
  carId: string
  parameterId: string
}

function target(view: BoardView, { carId, parameterId }: CardTarget): Result<CardParameter> {
  if (!view.cars.get(carId)) return refuse('Car', carId, 'is not in the kit', 'Pick a car of the kit.')
  const p = parameterOf(view, carId, parameterId)
  return p
    ? ok(p)
    : refuse('Value', parameterId, 'is not on this car’s card', 'Check the car’s speed control in the kit.')
}

/** The card asks for `value`. */
export function assignValue(
  ctx: EditContext,
  view: BoardView,
  t: CardTarget & { value: Setting | null; why?: string },
): Result<void> {
  return runEdit(ctx, 'assign', (w) => {
    const p = target(view, t)
    if (!p.ok) return p
    if (t.value !== null) {
      const fits = checkSetting(p.value, t.value)
      if (!fits.ok) return fits
    }
    const id = joinId(t.carId, t.parameterId)
    w.meeting('cardValues', id, { assigned: w.stamp(t.value, t.why) })
    if (view.cardValues.get(id)?.cannot?.v) w.meeting('cardValues', id, { cannot: w.stamp(null) })
    return ok(undefined)
  })
}

/**
 * Somebody says that `value` is in the car now. Opens the follow-ups that the change calls for, unless the car simply held no record of
 * this value before or holds the same value already.
 */
export function fitValue(
  ctx: EditContext,
  view: BoardView,
  t: CardTarget & { value: Setting; readBack?: boolean },
): Result<void> {
  return runEdit(ctx, 'fit', (w) => {
    const p = target(view, t)
    if (!p.ok) return p
    const fits = checkSetting(p.value, t.value)
    if (!fits.ok) return fits
    writeFitted(w, view, t.carId, p.value, t.value)
    if (t.readBack)
      w.meeting('cardValues', joinId(t.carId, t.parameterId), { readBack: w.stamp<Setting>(t.value) })
    return ok(undefined)
  })
}

function writeFitted(w: Writer, view: BoardView, carId: string, p: CardParameter, value: Setting) {
  const id = joinId(carId, p.id)
  const before = view.cardValues.get(id)
  w.meeting('cardValues', id, { fitted: w.stamp<Setting>(value) })
  if (before?.cannot?.v) w.meeting('cardValues', id, { cannot: w.stamp(null) })
  const was = before?.fitted?.v
  if (was === undefined || was === null || was === value) return
  openFollowUps(w, view, carId, p.id, `${p.label} ${was} → ${value} ${p.unit}`.trim())
}

/** Proof that the fitted value was saved: it was read after a power cycle. A reading that differs becomes the fitted value. */
export function readBackValue(
  ctx: EditContext,
  view: BoardView,
  t: CardTarget & { value: Setting },
): Result<void> {
  return runEdit(ctx, 'read-back', (w) => {
    const p = target(view, t)
    if (!p.ok) return p
    if (!p.value.needsReadBack)
      return refuse(
        p.value.label,
        t.value,
        'is not a speed-control value',
        'Only speed-control values are read back.',
      )
    const fits = checkSetting(p.value, t.value)
    if (!fits.ok) return fits
    const id = joinId(t.carId, t.parameterId)
    if (view.cardValues.get(id)?.fitted?.v !== t.value) writeFitted(w, view, t.carId, p.value, t.value)
    w.meeting('cardValues', id, { readBack: w.stamp<Setting>(t.value) })
    return ok(undefined)
  })
}

/** The assigned value can't be fitted; the reason stays on the card until the value changes. */
export function refuseValue(
  ctx: EditContext,
  view: BoardView,
  t: CardTarget & { why: string },
): Result<void> {
  return runEdit(ctx, 'cannot-fit', (w) => {
    const p = target(view, t)
    if (!p.ok) return p
    if (!t.why.trim()) return refuse('Reason', '', 'is missing', 'Say in a few words why it can’t be fitted.')
    w.meeting('cardValues', joinId(t.carId, t.parameterId), { cannot: w.stamp(t.why.trim()) })
    return ok(undefined)
  })
}

/** Sign a follow-up. `covers` is the digest of the fitted values that triggered it (`lib/card` computes it). */
export function signFollowUp(
  ctx: EditContext,
  t: { carId: string; ruleId: string; covers: string },
): Result<void> {
  return runEdit(ctx, 'sign-follow-up', (w) => {
    w.meeting('followUps', joinId(t.carId, t.ruleId), { signed: w.sign(t.covers) })
    return ok(undefined)
  })
}

/** Sign one checklist item, or withdraw the sign-off. `scope` is the run's id, or the car's for lists that belong to a follow-up. */
export function signCheck(
  ctx: EditContext,
  t: { scopeId: string; itemId: string; covers?: string; done: boolean },
): Result<void> {
  return runEdit(ctx, 'sign-check', (w) => {
    w.meeting('checks', joinId(t.scopeId, t.itemId), { signed: t.done ? w.sign(t.covers) : null })
    return ok(undefined)
  })
}
