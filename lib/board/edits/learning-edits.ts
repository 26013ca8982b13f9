import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import type { LearnFrom } from '../meeting-collections'
import { runEdit, type EditContext } from '../write-session'

/** Whether projections learn from a run: 'no' forgets it, 'always' counts it whatever the others say, null leaves it to them again. */
export function learnFromRun(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; use: LearnFrom | null },
): Result<void> {
  return runEdit(ctx, 'learn-from-run', (w) => {
    if (!view.entries.get(t.runId)?.carId)
      return refuse('Run', t.runId, 'is not one of the team’s runs', 'Pick one of the team’s runs.')
    w.meeting('runs', t.runId, { learnFrom: w.stamp(t.use) })
    return ok(undefined)
  })
}
