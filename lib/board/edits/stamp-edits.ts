import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import type { RunRecord } from '../meeting-collections'
import { runEdit, type EditContext, type Writer } from '../write-session'
import { countHeat } from './count-runs'

/**
 * Stamp a heat's start and freeze the records of the team's runs in it. `records` come from `lib/card`. A second stamp corrects the time; the
 * frozen records stay.
 */
export function stampStart(
  ctx: EditContext,
  view: BoardView,
  t: { heatId: string; at: number; records: { runId: string; record: RunRecord }[] },
): Result<void> {
  return runEdit(ctx, 'stamp-start', (w) => {
    const heat = view.heats.get(t.heatId)
    if (!heat || heat.removed)
      return refuse('Heat', t.heatId, 'is no longer in the running order', 'Pick another heat.')
    if (heat.startedAt?.v && heat.finishedAt?.v) countHeat(w, view, t.heatId, 0, heat.startedAt.v - t.at)
    w.meeting('heats', t.heatId, { startedAt: w.stamp(Math.round(t.at)) })
    for (const { runId, record } of t.records)
      if (!view.runs.get(runId)?.record?.v) w.meeting('runs', runId, { record: w.stamp(record) })
    return ok(undefined)
  })
}

export function stampFinish(
  ctx: EditContext,
  view: BoardView,
  t: { heatId: string; at: number },
): Result<void> {
  return runEdit(ctx, 'stamp-finish', (w) => {
    const heat = view.heats.get(t.heatId)
    const startedAt = heat?.startedAt?.v
    if (!heat || heat.removed)
      return refuse('Heat', t.heatId, 'is no longer in the running order', 'Pick another heat.')
    if (!startedAt) return refuse('Finish', '', 'the heat has not been started', 'Stamp its start first.')
    if (t.at <= startedAt)
      return refuse(
        'Finish',
        '',
        'is before the start',
        'Correct the start stamp, or stamp the finish again.',
      )
    const before = heat.finishedAt?.v
    w.meeting('heats', t.heatId, { finishedAt: w.stamp(Math.round(t.at)) })
    countHeat(w, view, t.heatId, before ? 0 : 1, t.at - (before ?? startedAt))
    return ok(undefined)
  })
}

/** A finish that is taken back was no run, yet. */
function uncount(w: Writer, view: BoardView, heatId: string): void {
  const { startedAt, finishedAt } = view.heats.get(heatId) ?? {}
  if (startedAt?.v && finishedAt?.v) countHeat(w, view, heatId, -1, startedAt.v - finishedAt.v)
}

/** Take a wrong start stamp back: its finish and the frozen records go with it. */
export function takeBackStart(ctx: EditContext, view: BoardView, t: { heatId: string }): Result<void> {
  return runEdit(ctx, 'take-back-start', (w) => {
    uncount(w, view, t.heatId)
    w.meeting('heats', t.heatId, { startedAt: w.stamp(null) })
    if (view.heats.get(t.heatId)?.finishedAt?.v) w.meeting('heats', t.heatId, { finishedAt: w.stamp(null) })
    for (const entry of view.entries.live)
      if (entry.heatId === t.heatId && view.runs.get(entry.id)?.record?.v)
        w.meeting('runs', entry.id, { record: w.stamp(null) })
    return ok(undefined)
  })
}
export function takeBackFinish(ctx: EditContext, view: BoardView, t: { heatId: string }): Result<void> {
  return runEdit(ctx, 'take-back-finish', (w) => {
    uncount(w, view, t.heatId)
    w.meeting('heats', t.heatId, { finishedAt: w.stamp(null) })
    return ok(undefined)
  })
}
