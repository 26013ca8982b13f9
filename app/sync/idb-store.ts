import { openDB, type IDBPDatabase } from 'idb'
import { asideName, isAside } from './aside-room'
import type {
  ActiveSession,
  ClientStore,
  Copy,
  Draft,
  MovedRoom,
  RoomContent,
  StoredRoomName,
  StoreSignal,
} from './client-store'
import {
  all,
  contentOf,
  lifeFact,
  lifeIn,
  NOTHING,
  rename,
  ROOM_STORES,
  roomNamed,
  storedRooms,
  type Names,
  type Schema,
  type Tx,
} from './idb-rows'
import { appendRow, compactRoom, moveRoom, settleKeys } from './idb-writes'
import { NO_JOURNAL, type Journal, type LeftEdit } from './left-journal'
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
  /** [S20] Where a page that is left puts what is not written yet. */
  journal?: Journal
}

const NAME = 'stagecall'
/** ms */
const OPEN_PATIENCE = 3000
/** [S19] ms until a lost store is opened again, the first time at once; then twice as long each time, up to the last. */
const REOPEN_FIRST = 1000
const REOPEN_LAST = 30_000
const SILENT: Doorbell = { ring: () => undefined, onRing: () => () => undefined, close: () => undefined }
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
    kept?: LeftEdit
  }[] = []
  #draining: Promise<void> | null = null
  #retry: ReturnType<typeof setTimeout> | null = null
  #closed = false
  readonly #doorbell: Doorbell
  readonly #retryAfter: number
  readonly #journal: Journal
  readonly #name: string
  readonly #reopened = new Set<() => void>()
  #reopening: ReturnType<typeof setTimeout> | null = null
  /** A newer version of the app has taken the store: this page gets it no more. */
  #isSuperseded = false

  constructor({
    name = NAME,
    doorbell = SILENT,
    retryAfter = 5000,
    journal = NO_JOURNAL,
  }: IdbStoreOptions = {}) {
    this.#name = name
    this.#journal = journal
    this.#doorbell = doorbell
    this.#retryAfter = retryAfter
    this.#opened = this.#openInTime()
  }

  /** A store that never answers (an old tab that won't let go, a broken profile) must not keep the board closed. */
  async #openInTime(): Promise<void> {
    let timer: ReturnType<typeof setTimeout> | undefined
    const late = new Promise<void>((resolve) => {
      timer = setTimeout(() => {
        this.#say({ state: 'missing', reason: 'the storage does not answer' })
        resolve()
      }, OPEN_PATIENCE)
    })
    await Promise.race([this.#open(), late])
    clearTimeout(timer)
  }

  async #open() {
    // eslint-disable-next-line @typescript-eslint/no-unnecessary-condition -- browsers exist in which it is there and null
    if (!('indexedDB' in globalThis) || !globalThis.indexedDB)
      return this.#say({ state: 'missing', reason: 'this browser has no storage for pages' })
    try {
      const db = await openDB<Schema>(this.#name, 2, {
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
        blocking: () => {
          this.#isSuperseded = true
          this.#lost('another tab runs a newer version: reload this one')
        },
        terminated: () => this.#lost('the browser closed the storage'),
      })
      this.#db = db
      this.#say({ state: 'stored' })
      await this.#takeJournal()
      this.#drain()
    } catch (e) {
      this.#say({ state: 'missing', reason: reasonOf(e) })
    }
  }

  #lost(reason: string) {
    this.#db?.close()
    this.#db = null
    this.#say({ state: 'failed', reason })
    if (!this.#isSuperseded) this.#reopenAfter(0)
  }

  /** [S19] Browsers close a page's database when they like, and some never say so again: it is opened anew, and told what it may have lost. */
  #reopenAfter(ms: number) {
    if (this.#closed || this.#reopening) return
    const open = async () => {
      this.#reopening = null
      await this.#open()
      if (this.#closed) return this.#db?.close()
      if (!this.#db) {
        // It said that there is none; there was one.
        this.#say({ state: 'failed', reason: 'the browser closed the storage' })
        return this.#reopenAfter(Math.min(Math.max(ms * 2, REOPEN_FIRST), REOPEN_LAST))
      }
      this.#reopened.forEach((l) => l())
    }
    this.#reopening = setTimeout(() => void open(), ms)
  }
  onReopened(listener: () => void): () => void {
    this.#reopened.add(listener)
    return () => void this.#reopened.delete(listener)
  }

  leave(): void {
    this.#journal.put(this.#queue.flatMap(({ kept }) => (kept ? [kept] : [])))
  }

  /** What a page that was left had not written. Written twice it says the same, so it is taken out of the journal only afterwards. */
  async #takeJournal() {
    const left = this.#journal.get()
    if (left.length === 0) return
    for (const e of left) this.append(e.room, e.update, e.touches, e.copy)
    this.#drain()
    while (this.#draining) await this.#draining
    if (this.#signal.state === 'stored') this.#journal.clear()
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
    this.#listeners.forEach((l) => l())
  }

  #write(
    stores: Names,
    run: (tx: Tx) => Promise<void>,
    after?: () => void,
    failed?: () => void,
    kept?: LeftEdit,
  ) {
    if (this.#closed || this.#signal.state === 'missing') return failed?.()
    this.#queue.push({ stores, run, after, failed, ...(kept && { kept }) })
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
        // A connection that is closing takes nothing more, and not every browser says that it closed.
        if (e instanceof DOMException && e.name === 'InvalidStateError')
          return this.#lost('the browser closed the storage')
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
      (tx) => appendRow(tx, { room, update, touches, copy }),
      // The server tells the other tabs what it sent to this one; they only miss what was made here.
      touches.length ? () => this.#doorbell.ring(room) : undefined,
      undefined,
      touches.length ? { room, update, touches, copy } : undefined,
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
      const run = (tx: Tx) => moveRoom(tx, room, from, life, plan)
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
      (tx) => settleKeys(tx, room, touches),
      () => this.#doorbell.ring(room),
    )
  }

  compact(room: string): void {
    this.#write(['updates', 'pending'], (tx) => compactRoom(tx, room))
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
    const drafts = (await this.#db?.getAll('drafts').catch(() => undefined)) ?? []
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
    const pending = (await this.#db?.getAll('pending').catch(() => undefined)) ?? []
    return pending.filter((p) => !isAside(p.room)).map(({ room, key }) => ({ room, key }))
  }

  async rooms(): Promise<StoredRoomName[]> {
    await this.settled()
    if (!this.#db) return []
    try {
      const tx = this.#db.transaction(ROOM_STORES)
      const names = await storedRooms(tx)
      return await Promise.all(names.map((room) => roomNamed(tx, room)))
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
    if (this.#reopening) clearTimeout(this.#reopening)
    this.#reopened.clear()
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
