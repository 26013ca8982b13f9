import type { Json } from '../core/json'
import { ok, type Result } from '../core/result'
import { checkParameterRange } from './parameter-range'
import { mayWrite } from './guard-rules'
import { storedReader, type EditContext } from './write-session'
import type { FieldChange } from './write-rules'

/** What the values of one record must keep to between them, beside each field's own range. */
export const checkListed = (collection: string, values: Readonly<Record<string, Json>>): Result<void> =>
  collection === 'controllerParameters' ? checkParameterRange(values) : ok(undefined)

/** Which of these changes this person may make, each judged on the board as it would be with all of them. */
export function canWriteNow(ctx: EditContext, changes: readonly FieldChange[]): Result<void>[] {
  const before = storedReader(ctx.docs)
  const keyOf = (doc: string, collection: string, recordId: string, field: string) =>
    `${doc}/${collection}/${recordId}:${field}`
  const pending = new Map(changes.map((c) => [keyOf(c.doc, c.collection, c.recordId, c.field), c.after]))
  const read = {
    ids: before.ids,
    field: (...path: Parameters<typeof before.field>) => {
      const key = keyOf(...path)
      return pending.has(key) ? pending.get(key) : before.field(...path)
    },
  }
  return changes.map((change) => mayWrite({ ...ctx.actor, read, before }, change))
}
