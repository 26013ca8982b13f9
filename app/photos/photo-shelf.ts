import { openDB, type DBSchema, type IDBPDatabase } from 'idb'
import type { Refusal } from '@/lib/core/result'

/** Pictures that were fetched are kept for the next look without network, the newest ones. */
const FETCHED_KEPT = 150
const NAME = 'stagecall-photos'

/** A picture on its way to the server, or gone there from this phone. */
export interface Outgoing {
  meetingId: string
  runId: string
  hash: string
  /** Whose act it was: nobody else’s session sends it. */
  personId: string
  at: number
  /** The board's generation [S23] in which the server has it; null while only this phone does. */
  sent: string | null
  /** Why the server did not want it. */
  refused: Refusal | null
}

interface Shelved {
  meetingId: string
  hash: string
  type: string
  data: ArrayBuffer
  /** When it was fetched, ms; null for one of this phone's own. */
  fetchedAt: number | null
}

interface Shape extends DBSchema {
  pictures: { key: [string, string]; value: Shelved; indexes: { fetched: number } }
  outgoing: { key: [string, string]; value: Outgoing }
}

/** What came of sending one. */
export type Sent =
  | { state: 'stored' }
  | { state: 'refused'; why: Refusal }
  /** No network, no session, or a server that can't right now: another time. */
  | { state: 'later' }

export interface Line {
  send(picture: Outgoing, data: Blob): Promise<Sent>
  /** Null when the server has none, or can't be reached. */
  fetch(meetingId: string, hash: string): Promise<Blob | null>
}

/**
 * Photos on this phone, beside the board's own store: taken ones until they are on the server and after, fetched ones for the next look. What
 * is on the shelf is on this phone's disk. Two tabs may have one each: sending twice is as good as once.
 */
export class PhotoShelf {
  readonly #line: Line
  readonly #db: Promise<IDBPDatabase<Shape>>
  readonly #now: () => number
  readonly #listeners = new Set<() => void>()
  #flushing: Promise<void> | null = null
  #again = false

  constructor(line: Line, now: () => number, name = NAME) {
    this.#line = line
    this.#now = now
    this.#db = openDB<Shape>(name, 1, {
      upgrade(db) {
        // The index holds fetched ones only: null is no key.
        db.createObjectStore('pictures', { keyPath: ['meetingId', 'hash'] }).createIndex(
          'fetched',
          'fetchedAt',
        )
        db.createObjectStore('outgoing', { keyPath: ['meetingId', 'hash'] })
      },
    })
    // Each caller hears of it by itself.
    this.#db.catch(() => undefined)
  }

  subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener)
    return () => void this.#listeners.delete(listener)
  }

  /** On this phone's disk when it resolves. @throws DOMException where the phone has no room or no store */
  async add(
    whose: Pick<Outgoing, 'meetingId' | 'runId' | 'personId'>,
    pictures: readonly { hash: string; type: string; data: ArrayBuffer }[],
  ): Promise<void> {
    const tx = (await this.#db).transaction(['pictures', 'outgoing'], 'readwrite', { durability: 'strict' })
    const at = this.#now()
    await Promise.all([
      ...pictures.flatMap(({ hash, type, data }) => [
        tx.objectStore('pictures').put({ meetingId: whose.meetingId, hash, type, data, fetchedAt: null }),
        tx.objectStore('outgoing').put({ ...whose, hash, at, sent: null, refused: null }),
      ]),
      tx.done,
    ])
    this.#tell()
  }

  /** Take pictures off again that the board did not take. */
  async drop(meetingId: string, hashes: readonly string[]): Promise<void> {
    const tx = (await this.#db).transaction(['pictures', 'outgoing'], 'readwrite')
    await Promise.all([
      ...hashes.flatMap((hash) => [
        tx.objectStore('pictures').delete([meetingId, hash]),
        tx.objectStore('outgoing').delete([meetingId, hash]),
      ]),
      tx.done,
    ])
    this.#tell()
  }

  /** From this phone, else from the server; null where neither has it. */
  async picture(meetingId: string, hash: string): Promise<Blob | null> {
    const db = await this.#db.catch(() => null)
    const known = await db?.get('pictures', [meetingId, hash])
    if (known) return new Blob([known.data], { type: known.type })
    const fetched = await this.#line.fetch(meetingId, hash)
    if (!fetched) return null
    if (db) void this.#keep(db, meetingId, hash, fetched).catch(() => undefined)
    return fetched
  }

  /** Everything this phone ever sent or has to send, oldest first. */
  async outgoing(): Promise<Outgoing[]> {
    const db = await this.#db.catch(() => null)
    return ((await db?.getAll('outgoing')) ?? []).sort((a, b) => a.at - b.at)
  }

  /**
   * Send what this person took and the board of this generation does not have yet. Ends early where the line does: the rest goes another
   * time. One run at a time; who asks meanwhile gets another run after it.
   */
  flush(personId: string, generation: string): Promise<void> {
    this.#again = true
    this.#flushing ??= this.#run(personId, generation).finally(() => (this.#flushing = null))
    return this.#flushing
  }

  async close(): Promise<void> {
    await this.#flushing
    ;(await this.#db.catch(() => null))?.close()
  }

  async #run(personId: string, generation: string): Promise<void> {
    while (this.#again) {
      this.#again = false
      for (const picture of await this.outgoing()) {
        if (picture.personId !== personId || picture.refused || picture.sent === generation) continue
        const done = await this.#sendOne(picture)
        if (done.state === 'later') return
        await this.#note(picture, done, generation)
      }
    }
  }

  async #sendOne(picture: Outgoing): Promise<Sent> {
    const shelved = await (await this.#db).get('pictures', [picture.meetingId, picture.hash])
    if (!shelved)
      return {
        state: 'refused',
        why: {
          field: 'Photo',
          value: '',
          reason: 'this phone’s browser has cleared it away',
          remedy: 'Add it again.',
        },
      }
    return this.#line.send(picture, new Blob([shelved.data], { type: shelved.type }))
  }

  async #note(picture: Outgoing, done: Exclude<Sent, { state: 'later' }>, generation: string): Promise<void> {
    const db = await this.#db
    const row = { ...picture, ...(done.state === 'stored' ? { sent: generation } : { refused: done.why }) }
    await db.put('outgoing', row)
    this.#tell()
  }

  async #keep(db: IDBPDatabase<Shape>, meetingId: string, hash: string, picture: Blob): Promise<void> {
    const data = await picture.arrayBuffer()
    const tx = db.transaction('pictures', 'readwrite')
    await tx.store.put({ meetingId, hash, type: picture.type, data, fetchedAt: this.#now() })
    const fetched = await tx.store.index('fetched').getAllKeys()
    for (const key of fetched.slice(0, Math.max(0, fetched.length - FETCHED_KEPT))) await tx.store.delete(key)
    await tx.done
  }

  #tell(): void {
    for (const listener of this.#listeners) listener()
  }
}
