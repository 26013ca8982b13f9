import { openDB, type IDBPDatabase } from 'idb'
import * as Y from 'yjs'
import { asideName, isAside } from './aside-room'
import type {
  ActiveSession,
  ClientStore,
  Copy,
  Draft,
  MovedRoom,
  RoomContent,
  StoreSignal,
} from './client-store'
import {
  all,
  applyStored,
  contentOf,
  lifeFact,
  lifeIn,
  NOTHING,
  rename,
  ROOM_STORES,
  roomRange,
  storedRooms,
  type Names,
  type Schema,
  type Tx,
} from './idb-rows'
import type { Life } from './life'
import type { Touch } from './pending-keys'

/** Rings in the other tabs of this device. */
export interface Doorbell {
  ring(room: string): void
  onRing(room: string, listener: () => void): () => void
  close(): void
}

export interface IdbStoreOptions {
  name?: string
  doorbell?: Doorbell
  /** ms between attempts to write what could not be written. */
  retryAfter?: number
}

const NAME = 'stagecall'
/** ms */
const OPEN_PATIENCE = 3000
const SILENT: Doorbell = { ring: () => undefined, onRing: () => () => undefined, close: () => undefined }
/** A room is folded into one row beyond this many rows. */
export const COMPACT_ROWS = 64

/** The device's store in IndexedDB. Writes go one after the other; one that fails is kept and tried again, and the signal says so. */
export class IdbStore implements ClientStore {
  #db: IDBPDatabase<Schema> | null = null
  readonly #opened: Promise<void>
  #signal: StoreSignal = { state: 'opening' }
  readonly #listeners = new Set<() => void>()
  readonly #queue: {
    stores: Names
    run: (tx: Tx) => Promise<void>
    after?: () => void
    failed?: () => void
  }[] = []
  #draining: Promise<void> | null = null
  #retry: ReturnType<typeof setTimeout> | null = null
  #closed = false
  readonly #doorbell: Doorbell
  readonly #retryAfter: number

  constructor({ name = NAME, doorbell = SILENT, retryAfter = 5000 }: IdbStoreOptions = {}) {
    this.#doorbell = doorbell
    this.#retryAfter = retryAfter
    this.#opened = this.#openInTime(name)
  }

  /** A store that never answers (an old tab that won't let go, a broken profile) must not keep the board closed. */
  async #openInTime(name: string): Promise<void> {
    let timer: ReturnType<typeof setTimeout> | undefined
    const late = new Promise<void>((resolve) => {
      timer = setTimeout(() => {
        this.#say({ state: 'missing', reason: 'the storage does not answer' })
        resolve()
      }, OPEN_PATIENCE)
    })
    await Promise.race([this.#open(name), late])
    clearTimeout(timer)
  }

  async #open(name: string) {
    // eslint-disable-next-line @typescript-eslint/no-unnecessary-condition -- browsers exist in which it is there and null
    if (!('indexedDB' in globalThis) || !globalThis.indexedDB)
      return this.#say({ state: 'missing', reason: 'this browser has no storage for pages' })
    try {
      const db = await openDB<Schema>(name, 2, {
        upgrade(db, before) {
          if (before < 2) db.createObjectStore('own', { keyPath: ['room', 'clientId'] })
          if (before >= 1) return
          const updates = db.createObjectStore('updates', { keyPath: 'id', autoIncrement: true })
          updates.createIndex('room', 'room')
          db.createObjectStore('pending', { keyPath: ['room', 'key'] })
          db.createObjectStore('drafts', { keyPath: 'id' })
          db.createObjectStore('facts')
        },
        // A newer version of the app in another tab waits for this one to let go.
        blocking: () => this.#lost('another tab runs a newer version: reload this one'),
        terminated: () => this.#lost('the browser closed the storage'),
      })
      this.#db = db
      this.#say({ state: 'stored' })
      this.#drain()
    } catch (e) {
      this.#say({ state: 'missing', reason: reasonOf(e) })
    }
  }

  #lost(reason: string) {
    this.#db?.close()
    this.#db = null
    this.#say({ state: 'failed', reason })
  }

  get signal(): StoreSignal {
    return this.#signal
  }
  onSignal(listener: () => void): () => void {
    this.#listeners.add(listener)
    return () => void this.#listeners.delete(listener)
  }
  #say(signal: StoreSignal) {
    this.#signal = signal
    if (!this.#closed) this.#listeners.forEach((l) => l())
  }

  #write(stores: Names, run: (tx: Tx) => Promise<void>, after?: () => void, failed?: () => void) {
    if (this.#closed || this.#signal.state === 'missing') return failed?.()
    this.#queue.push({ stores, run, after, failed })
    if (this.#signal.state === 'stored') this.#say({ state: 'storing' })
    if (!this.#retry) this.#drain()
  }

  #drain() {
    if (this.#draining || !this.#db) return
    this.#draining = this.#work().finally(() => {
      this.#draining = null
      if (this.#queue.length && this.#db && !this.#retry && !this.#closed) this.#drain()
    })
  }

  async #work() {
    for (let job = this.#queue[0]; job && this.#db; job = this.#queue[0]) {
      try {
        const tx = this.#db.transaction(job.stores, 'readwrite', { durability: 'strict' })
        await all(tx, job.run(tx))
      } catch (e) {
        job.failed?.()
        const full = e instanceof DOMException && e.name === 'QuotaExceededError'
        this.#say(full ? { state: 'full' } : { state: 'failed', reason: reasonOf(e) })
        if (!this.#closed)
          this.#retry = setTimeout(() => {
            this.#retry = null
            this.#drain()
          }, this.#retryAfter)
        return
      }
      this.#queue.shift()
      job.after?.()
    }
    if (this.#db) this.#say({ state: 'stored' })
  }

  async read(room: string, afterId: number): Promise<RoomContent> {
    await this.#opened
    if (!this.#db) return NOTHING
    try {
      const tx = this.#db.transaction(ROOM_STORES)
      const content = await contentOf(tx, room)
      return { ...content, updates: content.updates.filter((u) => u.id > afterId) }
    } catch (e) {
      this.#say({ state: 'failed', reason: reasonOf(e) })
      return NOTHING
    }
  }

  append(room: string, update: Uint8Array, touches: readonly Touch[], copy?: Copy): void {
    this.#write(
      ROOM_STORES,
      async (tx) => {
        const stored = await lifeIn(tx, room)
        // Another tab has begun another life: this one learns it by the ring, and sees to its edits itself.
        if (copy?.life && stored !== null && stored !== copy.life) return
        if (copy?.life && stored === null) await tx.objectStore('facts').put(copy.life, lifeFact(room))
        await tx.objectStore('updates').add({ room, encoding: 1, update, local: touches.length > 0 })
        for (const touch of touches) await tx.objectStore('pending').put({ room, ...touch })
        if (copy && touches.length > 0) await tx.objectStore('own').put({ room, clientId: copy.clientId })
      },
      // The server tells the other tabs what it sent to this one; they only miss what was made here.
      touches.length ? () => this.#doorbell.ring(room) : undefined,
    )
  }

  setLife(room: string, life: Life): void {
    this.#write(['facts'], async (tx) => {
      if ((await lifeIn(tx, room)) === null) await tx.objectStore('facts').put(life, lifeFact(room))
    })
  }

  move(
    room: string,
    from: Life | null,
    life: Life | null,
    plan: (stored: RoomContent) => MovedRoom,
  ): Promise<boolean> {
    return new Promise((resolve) => {
      const run = async (tx: Tx) => {
        const stored = await contentOf(tx, room)
        if (stored.life !== from) return
        const moved = plan(stored)
        const [updates, pending, own] = [
          tx.objectStore('updates'),
          tx.objectStore('pending'),
          tx.objectStore('own'),
        ]
        for (const { id } of stored.updates) await updates.delete(id)
        await pending.delete(roomRange(room))
        await own.delete(roomRange(room))
        const { update } = moved
        if (update) await updates.add({ room, encoding: 2, update, local: moved.pending.length > 0 })
        for (const touch of moved.pending) await pending.put({ room, ...touch })
        for (const clientId of moved.own) await own.put({ room, clientId })
        for (const draft of moved.drafts) await tx.objectStore('drafts').put(draft)
        if (life === null) await tx.objectStore('facts').delete(lifeFact(room))
        else await tx.objectStore('facts').put(life, lifeFact(room))
      }
      const done = () => {
        resolve(true)
        this.#doorbell.ring(room)
      }
      this.#write([...ROOM_STORES, 'drafts'], run, done, () => resolve(false))
    })
  }

  settle(room: string, touches: readonly Touch[]): void {
    if (touches.length === 0) return
    this.#write(
      ['pending'],
      async (tx) => {
        const pending = tx.objectStore('pending')
        for (const { key, token } of touches)
          if ((await pending.get([room, key]))?.token === token) await pending.delete([room, key])
      },
      () => this.#doorbell.ring(room),
    )
  }

  compact(room: string): void {
    this.#write(['updates', 'pending'], async (tx) => {
      const updates = tx.objectStore('updates')
      const rows = await updates.index('room').getAll(room)
      if (rows.length <= COMPACT_ROWS) return
      const local = (await tx.objectStore('pending').count(roomRange(room))) > 0
      // A document, not a merge of updates: only a document forgets what was overwritten.
      const doc = new Y.Doc()
      for (const row of rows) applyStored(doc, row, 'fold')
      const update = Y.encodeStateAsUpdateV2(doc)
      doc.destroy()
      for (const row of rows) if (row.id !== undefined) await updates.delete(row.id)
      await updates.add({ room, encoding: 2, update, local })
    })
  }

  onRing(room: string, listener: () => void): () => void {
    return this.#doorbell.onRing(room, listener)
  }

  async session(): Promise<ActiveSession | null> {
    await this.#opened
    return ((await this.#db?.get('facts', 'session').catch(() => null)) as ActiveSession | null) ?? null
  }
  setSession(session: ActiveSession | null): void {
    this.#write(['facts'], async (tx) => {
      await tx.objectStore('facts').put(session, 'session')
    })
  }

  async drafts(): Promise<Draft[]> {
    await this.#opened
    const drafts = (await this.#db?.getAll('drafts').catch(() => [])) ?? []
    return drafts.sort((a, b) => b.rejection.at - a.rejection.at)
  }
  addDraft(draft: Draft): void {
    this.#write(['drafts'], async (tx) => {
      await tx.objectStore('drafts').put(draft)
    })
  }
  removeDraft(id: string): void {
    this.#write(['drafts'], async (tx) => {
      await tx.objectStore('drafts').delete(id)
    })
  }

  async allPending(): Promise<{ room: string; key: string }[]> {
    await this.#opened
    const pending = (await this.#db?.getAll('pending').catch(() => [])) ?? []
    return pending.filter((p) => !isAside(p.room)).map(({ room, key }) => ({ room, key }))
  }

  async rooms(): Promise<{ room: string; life: Life | null }[]> {
    await this.settled()
    if (!this.#db) return []
    try {
      const tx = this.#db.transaction(ROOM_STORES)
      const names = await storedRooms(tx)
      return await Promise.all(names.map(async (room) => ({ room, life: await lifeIn(tx, room) })))
    } catch (e) {
      this.#say({ state: 'failed', reason: reasonOf(e) })
      return []
    }
  }

  async setAside(member: { deviceId: string; name: string }): Promise<void> {
    await this.#opened
    this.#write(ROOM_STORES, async (tx) => {
      for (const room of await storedRooms(tx))
        if (!isAside(room)) await rename(tx, room, asideName(member, room))
    })
    await this.settled()
  }

  async settled(): Promise<void> {
    await this.#opened
    while (this.#draining) await this.#draining
  }

  close(): void {
    this.#closed = true
    if (this.#retry) clearTimeout(this.#retry)
    this.#retry = null
    this.#listeners.clear()
    this.#doorbell.close()
    // What is being written is finished first; the connection closes behind it.
    void this.settled().then(() => {
      this.#db?.close()
      this.#db = null
    })
  }
}

const reasonOf = (e: unknown): string => (e instanceof Error ? e.message || e.name : String(e))
