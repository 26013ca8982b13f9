import type { Json } from '../core/json'
import { ok, refuse, type Result } from '../core/result'
import { fieldDef } from './collections'
import { docOf, readField } from './board-doc'
import { runEdit, type EditContext, type EditOrigin, type FieldWrite } from './write-session'

/**
 * Undo for everything a person did on this device in this session. An undo is a new edit, signed by who undoes, because the old signatures
 * would claim that somebody else just wrote them. A field that somebody changed since is left alone and named.
 */
export class UndoStack {
  readonly #past: EditOrigin[] = []
  static readonly depth = 100

  push(origin: EditOrigin): void {
    if (origin.edit === 'undo') return
    this.#past.push(origin)
    if (this.#past.length > UndoStack.depth) this.#past.shift()
  }

  /** The edit that `undo` would take back. */
  get next(): EditOrigin | undefined {
    return this.#past.at(-1)
  }

  undo(ctx: EditContext): Result<{ edit: string; leftAlone: FieldWrite[] }> {
    const last = this.#past.at(-1)
    if (!last)
      return refuse('Undo', '', 'there is nothing to undo', 'Undo only works for changes made on this phone.')
    const leftAlone: FieldWrite[] = []
    const done = runEdit(ctx, 'undo', (w) => {
      for (const write of last.writes) {
        const doc = docOf(ctx.docs, write.doc)
        if (!doc) continue
        const now = readField(doc, write.collection, write.recordId, write.field)
        if (JSON.stringify(now) !== JSON.stringify(write.after)) leftAlone.push(write)
        else w.put(write.doc, write.collection, write.recordId, write.field, restored(write, w.by, w.at))
      }
      return ok(undefined)
    })
    if (!done.ok) return done
    this.#past.pop()
    return ok({ edit: last.edit, leftAlone })
  }
}

function restored(write: FieldWrite, by: string, at: number): Json {
  const def = fieldDef(write.doc, write.collection, write.field)
  const before = write.before ?? null
  if (!def?.signed) return before
  if (before === null || typeof before !== 'object' || Array.isArray(before))
    return def.keepStamp ? { v: null, by, at } : null
  return def.keepStamp ? { ...before, by, at } : null
}
