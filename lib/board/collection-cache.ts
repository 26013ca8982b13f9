import { equalityDeep } from 'lib0/function'
import type * as Y from 'yjs'
import type { Json } from '../core/json'
import { COLLECTIONS, type CollectionOf, type DocKind, type RecordOf } from './collections'
import { parseKey } from './flat-key'
import type { FieldDef } from './field'
import { rowsOf, type Rows } from './rows'

/** A field that the document holds and its schema refuses. It is left out of the record and named here. */
export interface DamagedField {
  collection: string
  recordId: string
  field: string
}

type Plain = { id: string; [field: string]: unknown }

/**
 * One collection of one document as validated plain records. Only records touched since the last read are parsed anew; untouched records
 * keep their identity, and so does the whole map when nothing was touched.
 */
export class CollectionCache<D extends DocKind, C extends CollectionOf<D>> {
  #records = new Map<string, Plain>()
  #fieldsById = new Map<string, Set<string>>()
  #stale = new Set<string>()
  #rows: Rows<RecordOf<D, C>> = rowsOf(new Map())
  #damaged = new Map<string, DamagedField[]>()
  readonly #map: Y.Map<Json>
  readonly #fields: Record<string, FieldDef>
  readonly #collection: C
  readonly close: () => void

  constructor(kind: D, collection: C, doc: Y.Doc) {
    this.#collection = collection
    this.#fields =
      (COLLECTIONS[kind] as Record<string, { fields: Record<string, FieldDef> }>)[collection]?.fields ?? {}
    this.#map = doc.getMap<Json>(collection)
    for (const key of this.#map.keys()) this.#touch(key)
    const observe = (event: Y.YMapEvent<Json>) => event.keysChanged.forEach((key: string) => this.#touch(key))
    this.#map.observe(observe)
    this.close = () => this.#map.unobserve(observe)
  }

  #touch(key: string) {
    const parts = parseKey(key)
    if (!parts || !Object.hasOwn(this.#fields, parts.field)) return
    let fields = this.#fieldsById.get(parts.recordId)
    if (!fields) this.#fieldsById.set(parts.recordId, (fields = new Set()))
    fields.add(parts.field)
    this.#stale.add(parts.recordId)
  }

  #parse(recordId: string) {
    const record: Plain = { id: recordId }
    const damaged: DamagedField[] = []
    for (const field of this.#fieldsById.get(recordId) ?? []) {
      const value = this.#map.get(`${recordId}:${field}`)
      if (value === undefined || value === null) continue
      const parsed = this.#fields[field]?.schema.safeParse(value)
      if (parsed?.success) record[field] = parsed.data
      else damaged.push({ collection: this.#collection, recordId, field })
    }
    // Emptied whole, as when its creation was undone: it is not there, and comes back with its next value.
    if (Object.keys(record).length === 1 && damaged.length === 0) this.#records.delete(recordId)
    else if (!equalityDeep(this.#records.get(recordId), record)) this.#records.set(recordId, record)
    if (damaged.length) this.#damaged.set(recordId, damaged)
    else this.#damaged.delete(recordId)
  }

  /** The records of this moment; the same object until one of them changes. */
  rows(): Rows<RecordOf<D, C>> {
    if (this.#stale.size > 0) {
      for (const id of this.#stale) this.#parse(id)
      this.#stale.clear()
      this.#rows = rowsOf(new Map(this.#records) as unknown as ReadonlyMap<string, RecordOf<D, C>>)
    }
    return this.#rows
  }

  damaged(): DamagedField[] {
    this.rows()
    return [...this.#damaged.values()].flat()
  }
}
