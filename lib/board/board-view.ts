import type { BoardDocs } from './board-doc'
import { CollectionCache, type DamagedField } from './collection-cache'
import {
  COLLECTIONS,
  type CollectionOf,
  type DocKind,
  type KitCollection,
  type KitRecord,
  type MeetingCollection,
  type MeetingRecord,
} from './collections'
import { rowsOf, type Rows } from './rows'

/**
 * The board as validated plain records. Immutable: every change gives a new `BoardView`, in which untouched collections and records keep
 * their identity, so that screens can compare by reference.
 */
export type BoardView = {
  readonly [C in KitCollection]: Rows<KitRecord<C>>
} & { readonly [C in MeetingCollection]: Rows<MeetingRecord<C>> } & {
  readonly hasMeeting: boolean
  readonly damaged: readonly DamagedField[]
}

const EMPTY = rowsOf(new Map<string, never>())

/**
 * Watches the documents and hands out views. `close()` when done. `beside`: a reading that is open for longer than this one, and whose documents are
 * not read a second time here.
 */
export class BoardReading {
  readonly #docs: BoardDocs
  readonly #caches = new Map<string, CollectionCache<DocKind, CollectionOf<DocKind>>>()
  readonly #rows = new Map<string, Rows<unknown>>()
  readonly #hasMeeting: boolean
  #view: BoardView | null = null

  readonly #own: CollectionCache<DocKind, CollectionOf<DocKind>>[] = []

  constructor(docs: BoardDocs, beside: BoardReading | null = null) {
    this.#docs = docs
    this.#hasMeeting = docs.meeting !== null
    for (const kind of ['kit', 'meeting'] as const) {
      const doc = docs[kind]
      if (!doc) continue
      const isShared = beside !== null && beside.#docs[kind] === doc
      for (const name of Object.keys(COLLECTIONS[kind])) {
        const shared = isShared ? beside.#caches.get(name) : undefined
        const cache = shared ?? new CollectionCache(kind, name as CollectionOf<DocKind>, doc)
        this.#caches.set(name, cache)
        if (!shared) this.#own.push(cache)
      }
    }
  }

  /** The current view; the same object as before when nothing changed. */
  view(): BoardView {
    let changed = this.#view === null
    for (const [name, cache] of this.#caches) {
      const rows = cache.rows()
      if (this.#rows.get(name) === rows) continue
      changed = true
      this.#rows.set(name, rows)
    }
    if (!changed && this.#view) return this.#view
    const view: Record<string, unknown> = {
      hasMeeting: this.#hasMeeting,
      damaged: [...this.#caches.values()].flatMap((c) => c.damaged()),
    }
    for (const kind of ['kit', 'meeting'] as const)
      for (const name of Object.keys(COLLECTIONS[kind])) view[name] = this.#rows.get(name) ?? EMPTY
    this.#view = view as unknown as BoardView
    return this.#view
  }

  close(): void {
    for (const cache of this.#own) cache.close()
  }
}
