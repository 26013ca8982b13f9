import type { BoardView } from '../board/board-view'
import { recount } from '../board/edits/count-runs'
import { runEdit, type EditContext } from '../board/write-session'
import { canonicalJson, type Json } from '../core/json'
import { ok, refuse, type Result } from '../core/result'
import { isBad } from '../tables'
import type { ListChoices } from './find-entry'
import type { ReadList } from './listed'
import { planList, type ListPlan } from './plan-list'

/**
 * Import a result list or a lap list in one edit, exactly as it was shown: when the board has changed since so that it would do something else, it is
 * refused and nothing is written.
 *
 * @returns how many rows were written
 */
export function importList(
  ctx: EditContext,
  view: BoardView,
  t: { list: ReadList; choices: ListChoices; shown: ListPlan },
): Result<number> {
  const plan = planList(view, t.list, t.choices)
  const bad = plan.problems.filter(isBad)
  if (plan.heats.length === 0)
    return refuse(
      'List',
      '',
      'has no row that can be imported',
      'Check the columns and the heat, or correct the rows.',
    )
  if (bad.length > 0 && !t.choices.leaveOutBad)
    return refuse(
      'List',
      `${bad.length} bad rows`,
      'would be skipped',
      'Correct them, or choose to import only the good rows.',
    )
  if (canonicalJson(plan.writes) !== canonicalJson(t.shown.writes))
    return refuse(
      'List',
      '',
      'the board has changed since the preview',
      'Check the preview again, then confirm.',
    )
  return runEdit(ctx, 'import-list', (w) => {
    for (const { entryId, field, value } of plan.writes) {
      w.put('meeting', 'runs', entryId, field, w.stamp(value) as unknown as Json)
      if (!Array.isArray(value)) recount(ctx, w, view, { runId: entryId, result: value })
    }
    return ok(plan.writes.length)
  })
}
