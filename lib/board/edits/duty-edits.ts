import { newId } from '../../core/id'
import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import { joinId } from '../flat-key'
import { runEdit, type EditContext } from '../write-session'

/** Somebody marshals a heat, entered by hand: what the meeting's table says, or a duty beside its rule. */
export function addDuty(
  ctx: EditContext,
  view: BoardView,
  t: { heatId: string; personId: string },
): Result<void> {
  return runEdit(ctx, 'add-duty', (w) => {
    const heat = view.heats.get(t.heatId)
    if (!heat || heat.removed)
      return refuse('Heat', '', 'is not in the running order', 'Choose another heat.')
    if (!view.people.get(t.personId))
      return refuse('Person', '', 'is not on the board', 'Choose another one.')
    w.meeting('duties', joinId(t.heatId, t.personId), {
      heatId: t.heatId,
      personId: t.personId,
      removed: false,
    })
    return ok(undefined)
  })
}

/** Take back a duty that was entered by hand. */
export function removeDuty(ctx: EditContext, t: { heatId: string; owedBy: string }): Result<void> {
  return runEdit(ctx, 'remove-duty', (w) => {
    w.meeting('duties', joinId(t.heatId, t.owedBy), { removed: true })
    return ok(undefined)
  })
}

/** Somebody else does it; null: race control excused it; undefined: whoever owes it does it after all. */
export function setStandIn(
  ctx: EditContext,
  t: { heatId: string; owedBy: string; standInId: string | null | undefined },
): Result<void> {
  return runEdit(ctx, 'stand-in', (w) => {
    const standIn = t.standInId === undefined ? t.owedBy : t.standInId
    w.meeting('duties', joinId(t.heatId, t.owedBy), { standInId: w.stamp(standIn) })
    return ok(undefined)
  })
}

/** The marshal stood there: signed. */
export function signDuty(
  ctx: EditContext,
  t: { heatId: string; owedBy: string; done: boolean },
): Result<void> {
  return runEdit(ctx, t.done ? 'sign-duty' : 'unsign-duty', (w) => {
    w.meeting('duties', joinId(t.heatId, t.owedBy), { done: t.done ? w.sign() : null })
    return ok(undefined)
  })
}

/** A job with a person and a time, if they are known already. */
export function addJob(
  ctx: EditContext,
  t: { text: string; personId?: string | null; carId?: string | null; dueAt?: number | null },
): Result<string> {
  return runEdit(ctx, 'add-job', (w) => {
    const text = t.text.trim()
    if (!text) return refuse('Job', '', 'is empty', 'Enter what needs doing.')
    const id: string = newId()
    w.meeting('jobs', id, {
      text,
      personId: t.personId ?? undefined,
      carId: t.carId ?? undefined,
      dueAt: t.dueAt ?? undefined,
    })
    return ok(id)
  })
}

export function signJob(ctx: EditContext, t: { jobId: string; done: boolean }): Result<void> {
  return runEdit(ctx, t.done ? 'sign-job' : 'unsign-job', (w) => {
    w.meeting('jobs', t.jobId, { done: t.done ? w.sign() : null })
    return ok(undefined)
  })
}

/** Several runs get their mechanics at once, as a plan of the crew's work has it. */
export function assignMechanics(
  ctx: EditContext,
  t: readonly { runId: string; personId: string }[],
): Result<void> {
  return runEdit(ctx, 'assign-mechanics', (w) => {
    for (const { runId, personId } of t) w.meeting('runs', runId, { mechanicId: w.stamp(personId) })
    return ok(undefined)
  })
}
