import { openDB, type DBSchema, type IDBPDatabase, type IDBPTransaction } from 'idb'
import * as Y from 'yjs'
import type {
  ActiveSession,
  ClientStore,
  Draft,
  RoomContent,
  StoredUpdate,
  StoreSignal,
} from './client-store'
import type { Touch } from './pending-keys'

interface Schema extends DBSchema {
  updates: { key: number; value: Omit<StoredUpdate, 'id'> & { id?: number }; indexes: { room: string } }
  pending: { key: [string, string]; value: { room: string; key: string; token: string } }
  drafts: { key: string; value: Draft }
  facts: { key: string; value: unknown }
}
type Names = ('updates' | 'pending' | 'drafts' | 'facts')[]
type Tx = IDBPTransaction<Schema, Names, 'readwrite'>

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
  readonly #queue: { stores: Names; run: (tx: Tx) => Promise<void>; after?: () => void }[] = []
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
    if (!('indexedDB' in globalThis) || !globalThis.indexedDB)
      return this.#say({ state: 'missing', reason: 'this browser has no storage for pages' })
    try {
      const db = await openDB<Schema>(name, 1, {
        upgrade(db) {
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

  #write(stores: Names, run: (tx: Tx) => Promise<void>, after?: () => void) {
    if (this.#closed || this.#signal.state === 'missing') return
    this.#queue.push({ stores, run, after })
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
    if (!this.#db) return { updates: [], pending: [] }
    try {
      const tx = this.#db.transaction(['updates', 'pending'])
      const [updates, pending] = await Promise.all([
        tx.objectStore('updates').index('room').getAll(room),
        tx.objectStore('pending').getAll(roomRange(room)),
        tx.done,
      ])
      return {
        updates: updates.filter((u): u is StoredUpdate => u.id !== undefined && u.id > afterId),
        pending: pending.map(({ key, token }) => ({ key, token })),
      }
    } catch (e) {
      this.#say({ state: 'failed', reason: reasonOf(e) })
      return { updates: [], pending: [] }
    }
  }

  append(room: string, update: Uint8Array, touches: readonly Touch[]): void {
    this.#write(
      ['updates', 'pending'],
      async (tx) => {
        await tx.objectStore('updates').add({ room, encoding: 1, update, local: touches.length > 0 })
        for (const { key, token } of touches) await tx.objectStore('pending').put({ room, key, token })
      },
      // The server tells the other tabs what it sent to this one; they only miss what was made here.
      touches.length ? () => this.#doorbell.ring(room) : undefined,
    )
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
    return ((await this.#db?.getAll('pending').catch(() => [])) ?? []).map(({ room, key }) => ({ room, key }))
  }

  async forget(): Promise<void> {
    await this.#opened
    this.#write(['updates', 'pending'], async (tx) => {
      await tx.objectStore('updates').clear()
      await tx.objectStore('pending').clear()
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

export function applyStored(
  doc: Y.Doc,
  row: Pick<StoredUpdate, 'encoding' | 'update'>,
  origin: unknown,
): void {
  if (row.encoding === 2) Y.applyUpdateV2(doc, row.update, origin)
  else Y.applyUpdate(doc, row.update, origin)
}

/** All of a job or nothing: a step that fails without reaching the database would otherwise let the steps before it commit. */
async function all(tx: Tx, steps: Promise<void>): Promise<void> {
  const done = tx.done.catch((e: unknown) => ({ failed: e }))
  try {
    await steps
  } catch (e) {
    try {
      tx.abort()
    } catch {
      // It has ended by itself already.
    }
    await done
    throw e
  }
  const end = await done
  if (end) throw end.failed
}

const roomRange = (room: string) => IDBKeyRange.bound([room], [room, []])
const reasonOf = (e: unknown): string => (e instanceof Error ? e.message || e.name : String(e))
