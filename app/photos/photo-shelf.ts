import { openDB, type DBSchema, type IDBPDatabase } from 'idb'
import type { Refusal } from '@/lib/core/result'
import { hashOf } from './hash-of'

/** Pictures that the server has too are kept for the next look without network, the newest ones; edits share the phone's room with them. */
export const KEPT = 150
const NAME = 'stagecall-photos'
/** Rings in the other tabs of this phone. */
const BELL = 'photos'

/** A picture on its way to the server, or gone there from this phone. */
export interface Outgoing {
  meetingId: string
  runId: string
  hash: string
  /** The photo that it is or belongs to: a thumbnail's is another hash than its own. */
  photo: string
  at: number
  /** The board's generation [S23] in which the server has it; null while only this phone does. */
  sent: string | null
  /** Why the server does not want it. */
  refused: Refusal | null
}

interface Shelved {
  meetingId: string
  hash: string
  type: string
  data: ArrayBuffer
  /** Since when the server has it too, ms; null while it may be here only. */
  elsewhereAt: number | null
}

interface Shape extends DBSchema {
  pictures: { key: [string, string]; value: Shelved; indexes: { elsewhere: number } }
  outgoing: { key: [string, string]; value: Outgoing }
}

/** What came of sending one. */
export type Sent =
  | { state: 'stored' }
  | { state: 'refused'; why: Refusal }
  /** Not this one, not now: its run is not on the server yet, or the server has no room. Others may fare better. */
  | { state: 'later' }
  /** No network, no session, or a server that takes none: nothing goes for now. */
  | { state: 'down' }

/** What came of fetching one. */
export type Fetched = Blob | 'missing' | 'down'

export interface Line {
  send(picture: Outgoing, data: Blob): Promise<Sent>
  fetch(meetingId: string, hash: string): Promise<Fetched>
}

export interface Bell {
  ring(room: string): void
  onRing(room: string, listener: () => void): () => void
}

export interface ShelfParts {
  line: Line
  now: () => number
  bell?: Bell
  name?: string
}

/** Whether the board of this generation still has to get it. */
export const isWaiting = (o: Outgoing, generation: string | null): boolean =>
  o.refused === null && (o.sent === null || (generation !== null && o.sent !== generation))

/**
 * Photos on this phone, beside the board's own store: taken ones until they are on the server and after, fetched ones for the next look. What
 * is on the shelf is on this phone's disk. Each tab has one over the same disk: sending twice is as good as once.
 */
export class PhotoShelf {
  readonly #o: ShelfParts
  #opening: Promise<IDBPDatabase<Shape>> | null = null
  readonly #listeners = new Set<() => void>()
  readonly #stopHearing: () => void
  #flushing: Promise<void> | null = null
  #again = false

  constructor(parts: ShelfParts) {
    this.#o = parts
    this.#stopHearing = parts.bell?.onRing(BELL, () => this.#tellHere()) ?? (() => undefined)
  }

  subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener)
    return () => void this.#listeners.delete(listener)
  }

  /**
   * On this phone's disk when it resolves. Gives the hashes that were not there before: what to drop again where the board does not take the
   * photo. @throws DOMException where the phone has no room or no store
   */
  async add(
    whose: Pick<Outgoing, 'meetingId' | 'runId'>,
    photo: string,
    pictures: readonly { hash: string; type: string; data: ArrayBuffer }[],
  ): Promise<string[]> {
    const { meetingId } = whose
    const tx = (await this.#open()).transaction(['pictures', 'outgoing'], 'readwrite', {
      durability: 'strict',
    })
    const added: string[] = []
    const at = this.#o.now()
    for (const { hash, type, data } of pictures) {
      const known = await tx.objectStore('outgoing').get([meetingId, hash])
      if (known && known.refused === null) continue
      added.push(hash)
      await tx.objectStore('pictures').put({ meetingId, hash, type, data, elsewhereAt: null })
      await tx.objectStore('outgoing').put({ ...whose, hash, photo, at, sent: null, refused: null })
    }
    await tx.done
    this.#tell()
    return added
  }

  /** Take pictures off again that the board did not take. */
  async drop(meetingId: string, hashes: readonly string[]): Promise<void> {
    const tx = (await this.#open()).transaction(['pictures', 'outgoing'], 'readwrite')
    for (const hash of hashes) {
      await tx.objectStore('pictures').delete([meetingId, hash])
      await tx.objectStore('outgoing').delete([meetingId, hash])
    }
    await tx.done
    this.#tell()
  }

  /** From this phone, else from the server. What comes from there must be what its name says. */
  async picture(meetingId: string, hash: string): Promise<Fetched> {
    const db = await this.#open().catch(() => null)
    const known = await db?.get('pictures', [meetingId, hash]).catch(() => undefined)
    if (known) return new Blob([known.data], { type: known.type })
    const fetched = await this.#o.line.fetch(meetingId, hash)
    if (typeof fetched === 'string') return fetched
    const data = await fetched.arrayBuffer()
    if (hashOf(new Uint8Array(data)) !== hash) return 'down'
    void this.#keep({ meetingId, hash, type: fetched.type, data, elsewhereAt: this.#o.now() }).catch(
      () => undefined,
    )
    return fetched
  }

  /** What this phone sent or has to send, oldest first. */
  async outgoing(): Promise<Outgoing[]> {
    const rows = await (await this.#open()).getAll('outgoing')
    return rows.sort((a, b) => a.at - b.at)
  }

  /**
   * Send what the board of this generation does not have yet, whoever took it: the board says whose it is. Ends early where the line does: the
   * rest goes another time. One run at a time; who asks meanwhile gets another run after it.
   */
  flush(generation: string): Promise<void> {
    this.#again = true
    this.#flushing ??= this.#run(generation).finally(() => (this.#flushing = null))
    return this.#flushing
  }

  async close(): Promise<void> {
    this.#stopHearing()
    await this.#flushing?.catch(() => undefined)
    ;(await this.#opening?.catch(() => null))?.close()
    this.#opening = null
  }

  async #run(generation: string): Promise<void> {
    while (this.#again) {
      this.#again = false
      for (const picture of await this.outgoing()) {
        if (!isWaiting(picture, generation)) continue
        const shelved = await (await this.#open()).get('pictures', [picture.meetingId, picture.hash])
        if (!shelved) await this.#forget(picture)
        else {
          const blob = new Blob([shelved.data], { type: shelved.type })
          const done = await this.#o.line.send(picture, blob)
          if (done.state === 'down') return
          if (done.state === 'stored') await this.#noteStored(picture, shelved, generation)
          if (done.state === 'refused') await this.#put({ ...picture, refused: done.why })
        }
      }
    }
  }

  /** The browser, or the newest ones' need for room, has cleared it away. One that the server had before is no loss of this phone's. */
  async #forget(picture: Outgoing): Promise<void> {
    if (picture.sent !== null)
      return void (await (await this.#open()).delete('outgoing', [picture.meetingId, picture.hash]))
    await this.#put({
      ...picture,
      refused: {
        field: 'Photo',
        value: '',
        reason: 'this phone’s browser has cleared it away',
        remedy: 'Add it again.',
      },
    })
  }

  async #noteStored(picture: Outgoing, shelved: Shelved, generation: string): Promise<void> {
    await this.#keep({ ...shelved, elsewhereAt: this.#o.now() })
    await this.#put({ ...picture, sent: generation })
  }

  async #put(picture: Outgoing): Promise<void> {
    await (await this.#open()).put('outgoing', picture)
    this.#tell()
  }

  async #keep(picture: Shelved): Promise<void> {
    const tx = (await this.#open()).transaction('pictures', 'readwrite')
    await tx.store.put(picture)
    const elsewhere = await tx.store.index('elsewhere').getAllKeys()
    for (const key of elsewhere.slice(0, Math.max(0, elsewhere.length - KEPT))) await tx.store.delete(key)
    await tx.done
  }

  /** A connection that the browser ends (cleared storage, another tab's newer version) is opened again with the next need. */
  #open(): Promise<IDBPDatabase<Shape>> {
    return (this.#opening ??= openDB<Shape>(this.#o.name ?? NAME, 1, {
      upgrade(db) {
        // The index holds those that are elsewhere too: null is no key.
        db.createObjectStore('pictures', { keyPath: ['meetingId', 'hash'] }).createIndex(
          'elsewhere',
          'elsewhereAt',
        )
        db.createObjectStore('outgoing', { keyPath: ['meetingId', 'hash'] })
      },
      blocking: (_now, _next, event) => {
        this.#opening = null
        ;(event.target as IDBDatabase).close()
      },
      terminated: () => void (this.#opening = null),
    }).catch((e: unknown) => {
      this.#opening = null
      throw e
    }))
  }

  #tell(): void {
    this.#o.bell?.ring(BELL)
    this.#tellHere()
  }
  #tellHere(): void {
    for (const listener of this.#listeners) listener()
  }
}
