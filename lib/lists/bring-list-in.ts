import { checkListed, docOf, runEdit, type EditContext } from '../board'
import { canonicalJson, type Json } from '../core/json'
import { ok, refuse, type Result } from '../core/result'
import { twinsOf } from './judge-list'
import { asCell, type ListPlan } from './list-plan'
import { listRecords } from './list-records'

const changed = () =>
  refuse(
    'List',
    '',
    'the board was changed since you looked',
    'Nothing was written. Look at what the file would change now, then write it.',
  )

/**
 * Carry a plan out: one act, which one undo takes back. What could not be written was told. Errors: the board no longer says what it said when the
 * plan was made, so that nobody's edit is written over unseen.
 */
export function bringListIn(ctx: EditContext, plan: ListPlan): Result<number> {
  const { doc, collection, changes } = plan
  if (changes.length === 0) return refuse('List', '', 'changes nothing', 'Edit the file first.')
  const on = docOf(ctx.docs, doc)
  const records = new Map((on ? listRecords(on, collection) : []).map((r) => [r.id, r.values]))
  const then = new Map<string, Record<string, Json>>()
  for (const c of changes) {
    const now = records.get(c.recordId)
    if (c.isNew && now) return changed()
    if (canonicalJson(asCell(now?.[c.field])) !== canonicalJson(asCell(c.before))) return changed()
    then.set(c.recordId, { ...(then.get(c.recordId) ?? now), [c.field]: c.after })
  }
  for (const values of then.values()) if (!checkListed(collection, values).ok) return changed()
  if (twinsOf(ctx, doc, collection, changes).size > 0) return changed()
  return runEdit(ctx, `list-${collection}`, (w) => {
    for (const c of changes) w.put(doc, collection, c.recordId, c.field, c.after)
    return ok(changes.length)
  })
}
