import type { Clock } from '../core/clock'
import type { Json } from '../core/json'
import { refuse, type Result } from '../core/result'
import { MAX_UPDATE_BYTES } from '../core/update-size'
import type { Role } from '../core/role'
import type { BoardView } from './board-view'
import { docOf, readField, writeField, type BoardDocs } from './board-doc'
import type { CollectionOf, DocKind, FieldOf, FieldsIn, FieldsIn as Fields } from './collections'
import { parseKey } from './flat-key'
import { checkField, mayWrite } from './guard-rules'
import type { BoardReader } from './ownership'
import type { Rows } from './rows'

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

/** Everything an edit needs: the documents, who edits, and the (server-corrected) time. */
export interface EditContext {
  docs: BoardDocs
  actor: Actor
  clock: Clock
  /** Called once after each edit that wrote something. */
  onEdit?: (origin: EditOrigin) => void
}

export class Writer {
  readonly #writes = new Map<string, FieldWrite>()
  readonly #ctx: EditContext
  readonly reader: BoardReader
  constructor(ctx: EditContext) {
    this.#ctx = ctx
    this.reader = {
      field: (doc, collection, recordId, field) => {
        const pending = this.#writes.get(keyOf(doc, collection, recordId, field))
        if (pending) return pending.after
        const d = docOf(ctx.docs, doc)
        return d ? readField(d, collection, recordId, field) : undefined
      },
      ids: storedReader(ctx.docs).ids,
    }
  }

  /** What is to be written, in the order in which it was first named. */
  get writes(): FieldWrite[] {
    return [...this.#writes.values()]
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
    const key = keyOf(doc, collection, recordId, field)
    const same = this.#writes.get(key)
    if (same) same.after = after
    else {
      const before = this.reader.field(doc, collection, recordId, field)
      this.#writes.set(key, { doc, collection, recordId, field, before, after })
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

const keyOf = (doc: DocKind, collection: string, recordId: string, field: string) =>
  `${doc}/${collection}/${recordId}:${field}`

/**
 * Run one named edit: collect its writes, check all of them against schema and policy, then apply them in one transaction per document
 * (an edit that no single message can carry takes several, one right after the other). Nothing is written unless everything may be written.
 */
export function runEdit<T>(ctx: EditContext, name: string, build: (w: Writer) => Result<T>): Result<T> {
  const writer = new Writer(ctx)
  const built = build(writer)
  if (!built.ok) return built
  const { writes } = writer
  const policy = { ...ctx.actor, read: writer.reader, before: storedReader(ctx.docs) }
  for (const w of writes) {
    if (!docOf(ctx.docs, w.doc)) return refuse('Meeting', '', 'no meeting is open', 'Open a meeting first.')
    const fits = checkField(w.doc, w.collection, w.field, w.after)
    if (!fits.ok) return fits
    const may = mayWrite(policy, w)
    if (!may.ok) return may
  }
  const changed = writes.filter((w) => JSON.stringify(w.before) !== JSON.stringify(w.after))
  if (changed.length === 0) return built
  const origin: EditOrigin = { edit: name, writes: changed }
  for (const kind of ['kit', 'meeting'] as const) {
    const doc = docOf(ctx.docs, kind)
    if (!doc) continue
    for (const part of inMessages(changed.filter((w) => w.doc === kind)))
      doc.transact(
        () => part.forEach((w) => writeField(doc, w.collection, w.recordId, w.field, w.after)),
        origin,
      )
  }
  ctx.onEdit?.(origin)
  return built
}

/** What one field's write takes in an update beside its key and value: ids, lengths, the collection's name. Measured: at most 50. */
const WRITE_BYTES = 64
const bytesOf = (w: FieldWrite): number =>
  WRITE_BYTES + 3 * (w.recordId.length + w.field.length) + 3 * JSON.stringify(w.after).length

/** Writes in parts of which each fits into one message; UTF-8 takes at most three bytes for each of a text's units. */
function inMessages(writes: readonly FieldWrite[]): FieldWrite[][] {
  const parts: FieldWrite[][] = []
  let room = 0
  for (const w of writes) {
    const bytes = bytesOf(w)
    const last = parts.at(-1)
    if (last && bytes <= room) last.push(w)
    else {
      parts.push([w])
      room = MAX_UPDATE_BYTES
    }
    room -= bytes
  }
  return parts
}

export const storedReader = (docs: BoardDocs): BoardReader => ({
  field: (doc, collection, recordId, field) => {
    const d = docOf(docs, doc)
    return d ? readField(d, collection, recordId, field) : undefined
  },
  ids: (doc, collection) => {
    const ids = new Set<string>()
    for (const key of docOf(docs, doc)?.getMap(collection).keys() ?? []) {
      const recordId = parseKey(key)?.recordId
      if (recordId !== undefined) ids.add(recordId)
    }
    return ids
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
  const policy = { ...ctx.actor, read }
  return mayWrite(policy, { doc, collection, recordId, field, before, after: undefined }).ok
}

/** The same, asked of a view: a screen that asks its board this way is told when the answer becomes another. */
export function mayWriteOn(
  view: BoardView,
  actor: Actor,
  change: { doc: DocKind; collection: string; recordId: string; field: string },
): boolean {
  const rows = (collection: string) => view[collection as keyof BoardView] as Rows<Record<string, Json>>
  const read: BoardReader = {
    field: (_, collection, recordId, field) => rows(collection).get(recordId)?.[field],
    ids: (_, collection) => rows(collection).all.keys(),
  }
  const before = read.field(change.doc, change.collection, change.recordId, change.field)
  return mayWrite({ ...actor, read }, { ...change, before, after: undefined }).ok
}
