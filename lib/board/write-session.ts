import type { Clock } from '../core/clock'
import type { Json } from '../core/json'
import { refuse, type Result } from '../core/result'
import type { Role } from '../core/role'
import { docOf, readField, writeField, type BoardDocs } from './board-doc'
import type { CollectionOf, DocKind, FieldOf, FieldsIn, FieldsIn as Fields } from './collections'
import { checkField, mayWrite, type BoardReader } from './guard-rules'

/** Who edits. */
export interface Actor {
  personId: string
  role: Role
}

/** One field's write, with what stood there before: what undo needs. */
export interface FieldWrite {
  doc: DocKind
  collection: string
  recordId: string
  field: string
  before: Json | undefined
  after: Json
}

/** The origin of every local edit's transaction. */
export interface EditOrigin {
  edit: string
  writes: FieldWrite[]
}
export const isEditOrigin = (o: unknown): o is EditOrigin =>
  typeof o === 'object' && o !== null && 'edit' in o && 'writes' in o

/** Everything an edit needs: the documents, who edits, and the (server-corrected) time. */
export interface EditContext {
  docs: BoardDocs
  actor: Actor
  clock: Clock
  /** Called once after each edit that wrote something. */
  onEdit?: (origin: EditOrigin) => void
}

export class Writer {
  readonly writes: FieldWrite[] = []
  readonly #ctx: EditContext
  readonly reader: BoardReader
  constructor(ctx: EditContext) {
    this.#ctx = ctx
    this.reader = {
      field: (doc, collection, recordId, field) => {
        const pending = this.writes.find(
          (w) => w.doc === doc && w.collection === collection && w.recordId === recordId && w.field === field,
        )
        if (pending) return pending.after
        const d = docOf(ctx.docs, doc)
        return d ? readField(d, collection, recordId, field) : undefined
      },
    }
  }

  get by(): string {
    return this.#ctx.actor.personId
  }
  /** Now, as a whole number of ms. */
  get at(): number {
    return Math.round(this.#ctx.clock.now())
  }
  sign(covers?: string) {
    return covers === undefined ? { by: this.by, at: this.at } : { by: this.by, at: this.at, covers }
  }
  stamp<T>(v: T, why?: string) {
    return why ? { v, by: this.by, at: this.at, why } : { v, by: this.by, at: this.at }
  }

  /** Set fields of one record; `undefined` leaves a field alone. */
  set<D extends DocKind, C extends CollectionOf<D>>(
    doc: D,
    collection: C,
    recordId: string,
    fields: Fields<D, C>,
  ): void {
    for (const [field, after] of Object.entries(fields)) {
      if (after === undefined) continue
      this.put(doc, collection, recordId, field, after as Json)
    }
  }

  /** As `set`, for one field named by text. */
  put(doc: DocKind, collection: string, recordId: string, field: string, after: Json): void {
    const same = this.writes.find(
      (w) => w.doc === doc && w.collection === collection && w.recordId === recordId && w.field === field,
    )
    if (same) same.after = after
    else {
      const before = this.reader.field(doc, collection, recordId, field)
      this.writes.push({ doc, collection, recordId, field, before, after })
    }
  }

  kit<C extends CollectionOf<'kit'>>(collection: C, recordId: string, fields: FieldsIn<'kit', C>): void {
    this.set('kit', collection, recordId, fields)
  }
  meeting<C extends CollectionOf<'meeting'>>(
    collection: C,
    recordId: string,
    fields: FieldsIn<'meeting', C>,
  ): void {
    this.set('meeting', collection, recordId, fields)
  }
  read<D extends DocKind, C extends CollectionOf<D>>(
    doc: D,
    collection: C,
    recordId: string,
    field: FieldOf<D, C>,
  ): Json | undefined {
    return this.reader.field(doc, collection, recordId, field)
  }
}

/**
 * Run one named edit: collect its writes, check all of them against schema and policy, then apply them in one transaction per document.
 * Nothing is written unless everything may be written.
 */
export function runEdit<T>(ctx: EditContext, name: string, build: (w: Writer) => Result<T>): Result<T> {
  const writer = new Writer(ctx)
  const built = build(writer)
  if (!built.ok) return built
  const policy = { ...ctx.actor, read: storedReader(ctx.docs) }
  for (const w of writer.writes) {
    if (!docOf(ctx.docs, w.doc)) return refuse('Meeting', '', 'no meeting is open', 'Open a meeting first.')
    const fits = checkField(w.doc, w.collection, w.field, w.after)
    if (!fits.ok) return fits
    const may = mayWrite({ ...policy, read: writer.reader }, w)
    if (!may.ok) return may
  }
  const changed = writer.writes.filter((w) => JSON.stringify(w.before) !== JSON.stringify(w.after))
  if (changed.length === 0) return built
  const origin: EditOrigin = { edit: name, writes: changed }
  for (const kind of ['kit', 'meeting'] as const) {
    const mine = changed.filter((w) => w.doc === kind)
    const doc = docOf(ctx.docs, kind)
    if (!doc || mine.length === 0) continue
    doc.transact(
      () => mine.forEach((w) => writeField(doc, w.collection, w.recordId, w.field, w.after)),
      origin,
    )
  }
  ctx.onEdit?.(origin)
  return built
}

export const storedReader = (docs: BoardDocs): BoardReader => ({
  field: (doc, collection, recordId, field) => {
    const d = docOf(docs, doc)
    return d ? readField(d, collection, recordId, field) : undefined
  },
})

/** Could this actor write this field of this record (leaving the value aside)? Screens grey out by it. */
export function canWrite(
  ctx: EditContext,
  doc: DocKind,
  collection: string,
  recordId: string,
  field: string,
): boolean {
  const read = storedReader(ctx.docs)
  const before = read.field(doc, collection, recordId, field)
  return mayWrite({ ...ctx.actor, read }, { doc, collection, recordId, field, before, after: undefined }).ok
}
