import * as Y from 'yjs'
import { canonicalJson } from '../core/json'
import { ok, refuse, type Result } from '../core/result'
import { writeField } from '../board/board-doc'
import type { BoardView } from '../board/board-view'
import { runEdit, type EditContext } from '../board/write-session'
import type { ImportChoices, ImportPlan, PlannedWrite } from './import-plan'
import { planImport } from './plan-import'
import { isBad } from './row-problem'
import type { RunningOrder } from './running-order'

/** One edit travels as one message, and the server takes none above 256 KiB; a tenth is left for what surrounds it. */
const MAX_EDIT_BYTES = 235_000

/** What the writes weigh as one update, measured on a document of their own. */
function updateBytes(writes: readonly PlannedWrite[]): number {
  const doc = new Y.Doc()
  doc.transact(() => writes.forEach((w) => writeField(doc, w.collection, w.recordId, w.field, w.value)))
  const bytes = Y.encodeStateAsUpdate(doc).length
  doc.destroy()
  return bytes
}

/**
 * Import a running order in one transaction, exactly as it was shown. `shown` is the plan that the person confirmed: when the board has
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
      'holds no heat that can be imported',
      'Check the columns, or correct the rows named below.',
    )
  const bad = plan.problems.filter(isBad)
  if (bad.length > 0 && !t.choices.leaveOutBad)
    return refuse(
      'Running order',
      `${bad.length} bad rows`,
      'would be left out',
      'Correct them in the file, or say that the good rows are to be imported without them.',
    )
  if (plan.open.length > 0)
    return refuse(
      'Running order',
      '',
      `leaves open whether ${plan.open.length} ${plan.open.length === 1 ? 'racer is' : 'racers are'} ours`,
      'Answer the questions under “Our cars”, then confirm.',
    )
  if (canonicalJson(plan.writes) !== canonicalJson(t.shown.writes))
    return refuse(
      'Running order',
      '',
      'the board has changed since the preview',
      'Look at the changes again, then confirm.',
    )
  if (updateBytes(plan.writes) > MAX_EDIT_BYTES)
    return refuse(
      'Running order',
      `${plan.heats.length} heats`,
      'is too much for one import',
      'Import it in parts, such as one file per round: rounds that a file does not list are left alone.',
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
