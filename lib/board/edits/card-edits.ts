import { settingText } from '../../core/setting-text'
import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import type { CardValue } from '../collections'
import type { Setting } from '../field'
import { joinId } from '../flat-key'
import { parameterOf, parametersOf, type CardParameter } from '../parameters'
import { isCycled, stampDigest } from '../read-back'
import { isClosedByReading } from '../rule-closing'
import { runEdit, type EditContext, type Writer } from '../write-session'
import { checkSetting } from './check-setting'
import { openFollowUps } from './open-follow-ups'

interface CardTarget {
  carId: string
  parameterId: string
}

function target(view: BoardView, { carId, parameterId }: CardTarget): Result<CardParameter> {
  if (!view.cars.get(carId)) return refuse('Car', carId, 'is not in the kit', 'Pick a car from the kit.')
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
  t: CardTarget & { value: Setting },
): Result<void> {
  return runEdit(ctx, 'fit', (w) => {
    const p = target(view, t)
    if (!p.ok) return p
    const fits = checkSetting(p.value, t.value)
    if (!fits.ok) return fits
    writeFitted(w, view, t.carId, p.value, t.value)
    return ok(undefined)
  })
}

function writeFitted(w: Writer, view: BoardView, carId: string, p: CardParameter, value: Setting) {
  const id = joinId(carId, p.id)
  const before = view.cardValues.get(id)
  const fitted = w.stamp<Setting>(value)
  w.meeting('cardValues', id, { fitted })
  if (before?.cannot?.v) w.meeting('cardValues', id, { cannot: w.stamp(null) })
  const was = before?.fitted?.v
  if (was !== undefined && was !== null && was !== value)
    openFollowUps(w, view, carId, p.id, `${p.label} ${settingText(was)} → ${settingText(value, p.unit)}`)
  return fitted
}

/**
 * The car was switched off and on again: asked once for everything that was dialed into its speed control since the last time. Each value's stamp
 * is bound to what was fitted at that moment, so that a value dialed in later asks anew. Tells how many values it was for.
 */
export function statePowerCycle(ctx: EditContext, view: BoardView, t: { carId: string }): Result<number> {
  return runEdit(ctx, 'power-cycle', (w) => {
    const waiting = parametersOf(view, t.carId).flatMap((p) => {
      const id = joinId(t.carId, p.id)
      const proof = p.needsReadBack ? proofOf(w, id) : null
      return proof?.fitted && proof.fitted.v !== null && !isCycled(proof)
        ? [{ id, fitted: proof.fitted }]
        : []
    })
    if (waiting.length === 0)
      return refuse(
        'Power cycle',
        '',
        'no value of this car needs one',
        'Dial in a value first, then read it back.',
      )
    for (const { id, fitted } of waiting)
      w.meeting('cardValues', id, { cycled: w.stamp(stampDigest(fitted)) })
    return ok(waiting.length)
  })
}

/** As it stands on the board at this moment: an edit before this one may be newer than the view. */
function proofOf(w: Writer, id: string): Pick<CardValue, 'fitted' | 'cycled' | 'readBack'> {
  const field = (name: 'fitted' | 'cycled' | 'readBack') =>
    (w.read('meeting', 'cardValues', id, name) ?? undefined) as CardValue['fitted']
  return {
    fitted: field('fitted'),
    cycled: field('cycled') as CardValue['cycled'],
    readBack: field('readBack'),
  }
}

/**
 * Proof that the fitted value was saved: it was read after the power cycle that came after fitting it. A reading that differs becomes the fitted
 * value: what the control shows after it was off is what it holds.
 */
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
    const proof = proofOf(w, id)
    if (!isCycled(proof) || !proof.cycled)
      return refuse(
        p.value.label,
        t.value,
        'was not read after a power cycle: the car was not switched off and on since it was dialed in',
        'Switch it off and on again, confirm that, then read it.',
      )
    let cycled = proof.cycled
    if (proof.fitted?.v !== t.value) {
      const fitted = writeFitted(w, view, t.carId, p.value, t.value)
      cycled = w.stamp(stampDigest(fitted))
      w.meeting('cardValues', id, { cycled })
    }
    w.meeting('cardValues', id, { readBack: { ...w.stamp<Setting>(t.value), covers: stampDigest(cycled) } })
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
    if (!t.why.trim())
      return refuse('Reason', '', 'is missing', 'Enter in a few words why it can’t be fitted.')
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
    const rule = { id: t.ruleId, closedBy: w.read('kit', 'followUpRules', t.ruleId, 'closedBy') }
    if (isClosedByReading(rule))
      return refuse(
        'Follow-up',
        '',
        'closes when the values are read back, not by a signature',
        'Switch the car off and on again, and read each changed value.',
      )
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
