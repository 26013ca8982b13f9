import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import type { PackState } from '../kit-collections'
import { runEdit, type EditContext, type Writer } from '../write-session'
import { writePlan, type PlannedPack } from './charge-edits'

/** What a way out of an impossible charge plan writes beside the plan itself. */
export type BoardStep =
  | { kind: 'plan-only' }
  | { kind: 'unpin'; chargeId: string }
  | { kind: 'pack-out'; runId: string; packId: string }
  | { kind: 'rules'; chargeHands?: number; coolDownSeconds?: number; heldSeconds?: number }
  | { kind: 'charge-share'; runId: string; share: number }
  | { kind: 'new-charger'; chargerId: string; label: string; likeChargerId: string }
  | { kind: 'supply-power'; supplyId: string; powerW: number }
  | { kind: 'new-pack'; packId: string; label: string; cells: number }
  | { kind: 'leave-out'; runIds: readonly string[] }

/** Take a way out together with the plan that it makes possible: all of it in one edit, so that one undo takes all of it back. */
export function takeWayOut(
  ctx: EditContext,
  view: BoardView,
  t: { step: BoardStep; parts: readonly PlannedPack[] },
): Result<void> {
  return runEdit(ctx, 'take-way-out', (w) => {
    const step = writeStep(w, view, t.step)
    return step.ok ? writePlan(w, view, t.parts) : step
  })
}

function writeStep(w: Writer, view: BoardView, step: BoardStep): Result<void> {
  switch (step.kind) {
    case 'plan-only':
      break
    case 'unpin':
      w.meeting('charges', step.chargeId, { pinned: false })
      break
    case 'pack-out':
      w.meeting('runs', step.runId, { packIn: w.stamp(null) })
      w.kit('packs', step.packId, { state: w.stamp<PackState>('charged') })
      break
    case 'rules': {
      const { chargeHands, coolDownSeconds, heldSeconds } = step
      w.meeting('meeting', 'meeting', { chargeHands, coolDownSeconds, heldSeconds })
      break
    }
    case 'charge-share':
      w.meeting('runs', step.runId, { chargeShare: step.share })
      break
    case 'new-charger': {
      const like = view.chargers.get(step.likeChargerId)
      if (!like) return refuse('Charger', step.label, 'has no charger to be like', 'Make a plan again.')
      const { channelCurrentA, channelPowerW, supplyId } = like
      w.kit('chargers', step.chargerId, {
        label: step.label,
        channels: 1,
        channelCurrentA,
        channelPowerW,
        supplyId,
      })
      break
    }
    case 'supply-power':
      w.kit('supplies', step.supplyId, { powerW: step.powerW })
      break
    case 'new-pack':
      w.kit('packs', step.packId, {
        label: step.label,
        cells: step.cells,
        state: w.stamp<PackState>('charged'),
        note: 'Borrowed',
      })
      break
    case 'leave-out':
      for (const runId of step.runIds) {
        w.meeting('runs', runId, { leftOut: true })
        const charge = view.charges.get(runId)
        if (charge && !charge.removed && !charge.startedAt?.v) w.meeting('charges', runId, { removed: true })
      }
      break
  }
  return ok(undefined)
}

/** Take back what a way out changed about a run: it is planned again, on a whole charge. */
export function planRunAgain(ctx: EditContext, t: { runId: string }): Result<void> {
  return runEdit(ctx, 'plan-run-again', (w) => {
    w.meeting('runs', t.runId, { leftOut: false, chargeShare: null })
    return ok(undefined)
  })
}

/** Back to what a pit usually counts on. */
export function usualChargeRules(ctx: EditContext): Result<void> {
  return runEdit(ctx, 'usual-charge-rules', (w) => {
    w.meeting('meeting', 'meeting', { chargeHands: null, coolDownSeconds: null, heldSeconds: null })
    return ok(undefined)
  })
}
