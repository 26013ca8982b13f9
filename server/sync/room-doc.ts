import * as Y from 'yjs'
import type { Json } from '@/lib/core/json'
import type { Store } from '../storage/store'

/** Authors of what the server itself writes; no person can have these ids (they hold a colon). */
export const SERVER_AUTHOR = 'server:edit'
export const RESTORER = 'server:restore'

export type RootType = Parameters<typeof Y.findRootTypeKey>[0]

/** A room's document, with a plain mirror of its flat maps beside it. Between turns it is as it is on disk, but for turns whose commit is under way. */
export class RoomDoc {
  readonly doc = new Y.Doc({ gc: true })
  /** Whose a clientID is. */
  readonly authors: Map<number, string>
  /** clientID of the server's own edits, and of its restored values. Kept from load to load, so that state vectors don't grow. */
  readonly serverClient: number
  readonly restorerClient: number
  /** Updates stored since the snapshot. */
  rows: number
  readonly #mirror = new Map<string, Map<string, Json>>()
  readonly #maps = new Map<string, Y.Map<Json>>()
  readonly #names = new Map<RootType, string>()
  #update: Uint8Array | null = null
  #fullState: Uint8Array | null = null

  /** Load a room from the store; an unknown room is empty. @throws when the stored bytes do not make a whole document. */
  constructor(store: Store, room: string, collections: readonly string[]) {
    const loaded = store.load(room)
    const { doc } = this
    for (const name of collections) {
      const map = doc.getMap<Json>(name)
      this.#maps.set(name, map)
      this.#names.set(map, name)
    }
    Y.transact(doc, () => {
      if (loaded.snapshot) Y.applyUpdateV2(doc, loaded.snapshot)
      for (const update of loaded.updates) Y.applyUpdate(doc, update)
    })
    if (doc.store.pendingStructs !== null || doc.store.pendingDs !== null)
      throw new Error(`What is stored of ${room} has gaps`)
    this.authors = loaded.authors
    this.rows = loaded.updates.length
    this.serverClient = this.#clientOf(SERVER_AUTHOR)
    this.restorerClient = this.#clientOf(RESTORER)
    for (const [name, map] of this.#maps) this.#mirror.set(name, new Map(map.entries()))
    doc.on('update', (update: Uint8Array) => {
      this.#update = update
      this.#fullState = null
    })
  }

  /** Run a transaction; returns its net result as one update, or null when it changed nothing. */
  transact(work: (tr: Y.Transaction) => void): Uint8Array | null {
    this.#update = null
    Y.transact(this.doc, work, null, true)
    const update = this.#update
    this.#update = null
    return update
  }

  /** The collection's map, or undefined when the board has no such collection. */
  map(collection: string): Y.Map<Json> | undefined {
    return this.#maps.get(collection)
  }

  /** The name of a root type, and whether the board knows it. */
  nameOf(type: RootType): { name: string; known: boolean } {
    const known = this.#names.get(type)
    return known === undefined
      ? { name: Y.findRootTypeKey(type), known: false }
      : { name: known, known: true }
  }

  read(collection: string, key: string): Json | undefined {
    return this.#mirror.get(collection)?.get(key)
  }

  /** Ids of a collection's records. */
  ids(collection: string, parseKey: (key: string) => { recordId: string } | null): Set<string> {
    const ids = new Set<string>()
    for (const key of this.#mirror.get(collection)?.keys() ?? []) {
      const recordId = parseKey(key)?.recordId
      if (recordId !== undefined) ids.add(recordId)
    }
    return ids
  }

  /** Note an accepted value. */
  remember(collection: string, key: string, value: Json): void {
    this.#mirror.get(collection)?.set(key, value)
  }

  /** Everything a client with this state vector lacks, as one update. */
  stateSince(vector: Uint8Array): Uint8Array {
    if (vector.length > 1 || vector[0] !== 0) return Y.encodeStateAsUpdate(this.doc, vector)
    return (this.#fullState ??= Y.encodeStateAsUpdate(this.doc))
  }

  /** Fold what is stored into a snapshot. @throws when the store can't write. */
  compact(store: Store, room: string): void {
    if (this.rows === 0) return
    store.compact(room, Y.encodeStateAsUpdateV2(this.doc), this.rows)
    this.rows = 0
  }

  destroy(): void {
    this.doc.destroy()
  }

  #clientOf(author: string): number {
    for (const [client, owner] of this.authors) if (owner === author) return client
    let client = this.doc.clientID
    while (this.authors.has(client) || client === this.serverClient || client === 0)
      client = 1 + Math.floor(Math.random() * 0xfffffffe)
    return client
  }
}
