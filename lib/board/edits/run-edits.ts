import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import type { Pack } from '../collections'
import type { PackState, TireState } from '../kit-collections'
import { runEdit, type EditContext } from '../write-session'
import { openFollowUps } from './open-follow-ups'

function ourRun(view: BoardView, runId: string): Result<{ carId: string }> {
  const entry = view.entries.get(runId)
  if (!entry || entry.removed || !entry.carId)
    return refuse('Run', runId, 'is no longer in the running order', 'Pick one of the team’s runs.')
  return ok({ carId: entry.carId })
}

/** Promise a pack to a run; null takes the promise back. Conflicts are found afterwards, as loose ends: two phones may be offline. */
export function assignPack(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; packId: string | null },
): Result<void> {
  return runEdit(ctx, 'assign-pack', (w) => {
    const run = ourRun(view, t.runId)
    if (!run.ok) return run
    if (t.packId && !view.packs.get(t.packId))
      return refuse('Pack', t.packId, 'is not in the kit', 'Pick a pack from the kit.')
    w.meeting('runs', t.runId, { packId: w.stamp(t.packId) })
    return ok(undefined)
  })
}

export function assignTires(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; tireSetId: string | null },
): Result<void> {
  return runEdit(ctx, 'assign-tires', (w) => {
    const run = ourRun(view, t.runId)
    if (!run.ok) return run
    if (t.tireSetId && !view.tireSets.get(t.tireSetId))
      return refuse('Tire set', t.tireSetId, 'is not in the kit', 'Pick a tire set from the kit.')
    w.meeting('runs', t.runId, { tireSetId: w.stamp(t.tireSetId) })
    return ok(undefined)
  })
}

/** Several runs get their tires at once, as a plan of the sets has it. */
export function takeTires(
  ctx: EditContext,
  view: BoardView,
  t: readonly { runId: string; tireSetId: string }[],
): Result<void> {
  return runEdit(ctx, 'take-tires', (w) => {
    for (const { runId, tireSetId } of t) {
      const run = ourRun(view, runId)
      if (!run.ok) return run
      if (!view.tireSets.get(tireSetId))
        return refuse('Tire set', tireSetId, 'is not in the kit', 'Plan the tires again.')
      w.meeting('runs', runId, { tireSetId: w.stamp(tireSetId) })
    }
    return ok(undefined)
  })
}

/** Keep the assigned tires where they are, whatever the planner would prefer. */
export function keepTires(ctx: EditContext, t: { runId: string; kept: boolean }): Result<void> {
  return runEdit(ctx, 'keep-tires', (w) => {
    w.meeting('runs', t.runId, { tiresKept: t.kept })
    return ok(undefined)
  })
}

export function assignMechanic(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; personId: string | null },
): Result<void> {
  return runEdit(ctx, 'assign-mechanic', (w) => {
    const run = ourRun(view, t.runId)
    if (!run.ok) return run
    w.meeting('runs', t.runId, { mechanicId: w.stamp(t.personId) })
    return ok(undefined)
  })
}

/** The pack is in the car, with its resting voltage as measured. The pack's own state follows. */
export function putPackIn(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; packId: string; restVoltageV?: number },
): Result<void> {
  return runEdit(ctx, 'pack-in', (w) => {
    const run = ourRun(view, t.runId)
    if (!run.ok) return run
    const before = lastPackIn(view, run.value.carId)
    w.meeting('runs', t.runId, { packIn: w.stamp(t.packId) })
    w.kit('packs', t.packId, {
      state: w.stamp<PackState>('in-car'),
      restVoltageV: t.restVoltageV === undefined ? undefined : w.stamp(t.restVoltageV),
    })
    const after = view.packs.get(t.packId)
    if (before && after && packType(before) !== packType(after))
      openFollowUps(w, view, run.value.carId, 'pack', `Pack ${before.label ?? '?'} → ${after.label ?? '?'}`)
    return ok(undefined)
  })
}

/** What a change of pack disturbs: cells, capacity and weight, not the single pack. */
const packType = (p: Pack): string => JSON.stringify([p.cells ?? 0, p.capacityMah ?? 0, p.weightG ?? 0])

/** The pack that was last said to be in the car at this meeting. */
function lastPackIn(view: BoardView, carId: string): Pack | undefined {
  const put = view.entries.live.flatMap((e) => {
    const packIn = e.carId === carId ? view.runs.get(e.id)?.packIn : undefined
    return packIn?.v ? [packIn] : []
  })
  const last = put.reduce<(typeof put)[number] | undefined>((a, b) => (a && a.at >= b.at ? a : b), undefined)
  return view.packs.get(last?.v)
}

/**
 * The tires are on the car; a set that was on another car is no longer there, and the set that they replace is off. Another set than before
 * opens the follow-ups that it calls for.
 */
export function putTiresOn(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; tireSetId: string },
): Result<void> {
  return runEdit(ctx, 'tires-on', (w) => {
    const run = ourRun(view, t.runId)
    if (!run.ok) return run
    w.meeting('runs', t.runId, { tiresOn: w.stamp(t.tireSetId) })
    const set = view.tireSets.get(t.tireSetId)
    w.kit('tireSets', t.tireSetId, { state: w.stamp<TireState>('on-car'), onCarId: run.value.carId })
    const replaced = view.tireSets.live.filter(
      (o) => o.onCarId === run.value.carId && o.id !== t.tireSetId && sameWheels(o.axle, set?.axle),
    )
    for (const old of replaced)
      w.kit('tireSets', old.id, { state: w.stamp<TireState>('used'), onCarId: null })
    const was = replaced.map((o) => o.label ?? '?').join(', ')
    if (was) openFollowUps(w, view, run.value.carId, 'tires', `Tires ${was} → ${set?.label ?? '?'}`)
    return ok(undefined)
  })
}

/** Do two sets go on the same wheels? A whole set takes all four. */
const sameWheels = (a: string | undefined, b: string | undefined): boolean =>
  (a ?? 'set') === 'set' || (b ?? 'set') === 'set' || a === b

export function setPackState(
  ctx: EditContext,
  t: { packId: string; state: PackState; restVoltageV?: number; chargePercent?: number },
): Result<void> {
  return runEdit(ctx, 'pack-state', (w) => {
    w.kit('packs', t.packId, {
      state: w.stamp(t.state),
      restVoltageV: t.restVoltageV === undefined ? undefined : w.stamp(t.restVoltageV),
      chargePercent: t.chargePercent === undefined ? undefined : w.stamp(t.chargePercent),
    })
    return ok(undefined)
  })
}

/** The driver's word. `digest` covers everything that was accepted (`lib/card` computes it). */
export function acceptRun(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; digest: string },
): Result<void> {
  return runEdit(ctx, 'accept', (w) => {
    const run = ourRun(view, t.runId)
    if (!run.ok) return run
    w.meeting('runs', t.runId, { accepted: w.sign(t.digest) })
    if (view.runs.get(t.runId)?.sentBack?.v) w.meeting('runs', t.runId, { sentBack: w.stamp(null) })
    return ok(undefined)
  })
}

/** The driver sends the car back to the mechanics, saying why. Withdraws an accept. */
export function sendBack(ctx: EditContext, view: BoardView, t: { runId: string; why: string }): Result<void> {
  return runEdit(ctx, 'send-back', (w) => {
    const run = ourRun(view, t.runId)
    if (!run.ok) return run
    if (!t.why.trim()) return refuse('Reason', '', 'is missing', 'Enter in a few words what is wrong.')
    w.meeting('runs', t.runId, { sentBack: w.stamp(t.why.trim()) })
    if (view.runs.get(t.runId)?.accepted) w.meeting('runs', t.runId, { accepted: null })
    return ok(undefined)
  })
}
