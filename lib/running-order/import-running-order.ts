import { canonicalJson } from '../core/json'
import { ok, refuse, type Result } from '../core/result'
import type { BoardView } from '../board/board-view'
import { runEdit, type EditContext } from '../board/write-session'
import type { ImportChoices, ImportPlan } from './import-plan'
import { planImport } from './plan-import'
import { isBad } from '../tables/row-problem'
import type { RunningOrder } from './running-order'

/**
 * Import a running order in one edit, exactly as it was shown. `shown` is the plan that the person confirmed: when the board has
 * changed since so that the import would do something else, it is refused and nothing is written.
 */
export function importRunningOrder(
  ctx: EditContext,
  view: BoardView,
  t: { order: RunningOrder; choices: ImportChoices; shown: ImportPlan },
): Result<{ heats: number; entries: number }> {
  const plan = planImport(view, t.order, t.choices)
  if (plan.heats.length === 0)
    return refuse(
      'Running order',
      '',
      'has no heats that can be imported',
      'Check the columns, or correct the rows listed below.',
    )
  const bad = plan.problems.filter(isBad)
  if (bad.length > 0 && !t.choices.leaveOutBad)
    return refuse(
      'Running order',
      `${bad.length} bad rows`,
      'would be skipped',
      'Correct them in the file, or choose to import only the good rows.',
    )
  if (plan.open.length > 0)
    return refuse(
      'Running order',
      '',
      `does not say whether ${plan.open.length} ${plan.open.length === 1 ? 'racer is' : 'racers are'} ours`,
      'Answer the questions under “Our cars”, then confirm.',
    )
  if (canonicalJson(plan.writes) !== canonicalJson(t.shown.writes))
    return refuse(
      'Running order',
      '',
      'the board has changed since the preview',
      'Check the changes again, then confirm.',
    )
  return runEdit(ctx, 'import-running-order', (w) => {
    for (const write of plan.writes)
      w.put('meeting', write.collection, write.recordId, write.field, write.value)
    return ok({
      heats: plan.heats.length,
      entries: plan.heats.reduce((n, h) => n + h.entries.length, 0),
    })
  })
}
