import { newId } from '../../core/id'
import type { Json } from '../../core/json'
import { ok, refuse, type Result } from '../../core/result'
import type { DocKind } from '../collections'
import { runEdit, type EditContext } from '../write-session'
import { checkLabelIsFree } from './unique-label'

/** Change fields whose collection and names are only known as text, as in forms made from the schema. Checked like every other edit. */
export function changeNamedFields(
  ctx: EditContext,
  doc: DocKind,
  collection: string,
  recordId: string,
  fields: Record<string, Json>,
): Result<void> {
  return runEdit(ctx, `change-${collection}`, (w) => {
    const free = checkLabelIsFree(ctx, { doc, collection, recordId, label: fields['label'] })
    if (!free.ok) return free
    for (const [field, value] of Object.entries(fields)) w.put(doc, collection, recordId, field, value)
    return ok(undefined)
  })
}

/** Add a record whose collection and fields are only known as text. */
export function addNamedRecord(
  ctx: EditContext,
  doc: DocKind,
  collection: string,
  fields: Record<string, Json>,
): Result<string> {
  return runEdit(ctx, `add-${collection}`, (w) => {
    const free = checkLabelIsFree(ctx, { doc, collection, recordId: null, label: fields['label'] })
    if (!free.ok) return free
    const id: string = newId()
    for (const [field, value] of Object.entries(fields)) w.put(doc, collection, id, field, value)
    return ok(id)
  })
}

/** Flag a record removed, or bring it back. */
export function setRemoved(
  ctx: EditContext,
  doc: DocKind,
  collection: string,
  recordId: string,
  removed: boolean,
): Result<void> {
  return runEdit(ctx, removed ? `remove-${collection}` : `restore-${collection}`, (w) => {
    const label = removed ? undefined : w.reader.field(doc, collection, recordId, 'label')
    const free = checkLabelIsFree(ctx, { doc, collection, recordId, label })
    if (!free.ok) return free
    w.put(doc, collection, recordId, 'removed', removed ? true : null)
    return ok(undefined)
  })
}

/**
 * Move a record one place up or down among its like. Lists that never had an order get one, so that two records without a place do not swap
 * for nothing.
 *
 * @param list the ids as shown
 */
export function moveInList(
  ctx: EditContext,
  t: { doc: DocKind; collection: string; list: readonly string[]; recordId: string; by: 1 | -1 },
): Result<void> {
  return runEdit(ctx, `move-${t.collection}`, (w) => {
    const from = t.list.indexOf(t.recordId)
    const to = from + t.by
    if (from < 0 || to < 0 || to >= t.list.length)
      return refuse('Order', '', 'it is already at the end of the list', 'Move another one.')
    const next = [...t.list]
    next.splice(to, 0, ...next.splice(from, 1))
    next.forEach((id, order) => w.put(t.doc, t.collection, id, 'order', order))
    return ok(undefined)
  })
}
