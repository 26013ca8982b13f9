import { newId } from '../../core/id'
import { ok, type Result } from '../../core/result'
import type { CollectionOf, DocKind, FieldsIn } from '../collections'
import { runEdit, type EditContext } from '../write-session'

/** Add a record of any collection with a new id. Screens for kit lists use this; acts with consequences have edits of their own. */
export function addRecord<D extends DocKind, C extends CollectionOf<D>>(
  ctx: EditContext,
  doc: D,
  collection: C,
  fields: FieldsIn<D, C>,
): Result<string> {
  return runEdit(ctx, `add-${collection}`, (w) => {
    const id: string = newId()
    w.set(doc, collection, id, fields)
    return ok(id)
  })
}

/** Change fields of a record; undefined leaves a field alone, null empties it. */
export function changeRecord<D extends DocKind, C extends CollectionOf<D>>(
  ctx: EditContext,
  doc: D,
  collection: C,
  recordId: string,
  fields: FieldsIn<D, C>,
): Result<void> {
  return runEdit(ctx, `change-${collection}`, (w) => {
    w.set(doc, collection, recordId, fields)
    return ok(undefined)
  })
}

/** Remove a record (a field says so: edits made offline meanwhile stay visible as a loose end). */
export function removeRecord<D extends DocKind, C extends CollectionOf<D>>(
  ctx: EditContext,
  doc: D,
  collection: C,
  recordId: string,
): Result<void> {
  return runEdit(ctx, `remove-${collection}`, (w) => {
    w.put(doc, collection, recordId, 'removed', true)
    return ok(undefined)
  })
}

/** A note about `car:<id>`, `run:<id>`, `pack:<id>` or `meeting`. */
export function addNote(ctx: EditContext, t: { about: string; text: string }): Result<string> {
  return runEdit(ctx, 'add-note', (w) => {
    const id: string = newId()
    w.meeting('notes', id, { about: t.about, text: w.stamp(t.text.trim()) })
    return ok(id)
  })
}

/** Propose a value for a card to whoever may assign it. */
export function proposeValue(
  ctx: EditContext,
  t: { carId: string; parameterId: string; value: number | string | boolean; why: string },
): Result<string> {
  return runEdit(ctx, 'propose', (w) => {
    const id: string = newId()
    w.meeting('proposals', id, { carId: t.carId, parameter: t.parameterId, value: w.stamp(t.value, t.why) })
    return ok(id)
  })
}
