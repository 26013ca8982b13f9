import { and, eq, inArray, lt, sql } from 'drizzle-orm'
import type { Clock } from '@/lib/core/clock'
import { PHOTOS_PER_RUN } from '@/lib/core/photo-limits'
import type { Client } from '@/drizzle/client'
import { asDatabaseError, DatabaseError } from '@/drizzle/database-error'
import { photos } from '@/drizzle/schema'
import { rowChecksum } from '@/drizzle/row-checksum'
import { withChecksum } from '@/drizzle/table-checksum'

/** A run's rows: twelve photos with a thumbnail each, and as many again for those that were removed. */
export const ROWS_PER_RUN = 4 * PHOTOS_PER_RUN
/** All photos of the board together, bytes: some 3,000 photos. Our choice, so that photos can't fill the disk that edits are saved on. */
export const STORE_BYTES = 1024 ** 3
/** A picture may come before the word of it, or its removal be undone: for so long nothing is cleared away, ms. */
export const UNNAMED_FOR = 24 * 3600_000

export interface NewPhoto {
  meetingId: string
  runId: string
  /** SHA-256 of `data`, as hex; the caller has checked it. */
  hash: string
  type: string
  data: Buffer
  personId: string
}

export type Put = 'stored' | 'run full' | 'board full'

/** Photos in the board's own database: what is acknowledged is on disk, and backups, checks and restores hold them like everything else. */
export class PhotoStore {
  readonly #client: Client
  readonly #clock: Clock
  readonly #limit: number
  /** Bytes of all photos; this process alone adds any. */
  #bytes: number

  /** @throws DatabaseError */
  constructor(client: Client, clock: Clock, limit = STORE_BYTES) {
    this.#client = client
    this.#clock = clock
    this.#limit = limit
    this.#bytes = this.#read(
      () =>
        client.db
          .select({ sum: sql<number>`coalesce(sum(${photos.bytes}), 0)` })
          .from(photos)
          .get()?.sum ?? 0,
    )
  }

  /**
   * On disk when it returns 'stored'. The same photo twice is stored once. `named`: pictures that the board shows; a run that is full loses
   * others that are a day old. @throws DatabaseError
   */
  put(photo: NewPhoto, named: ReadonlySet<string>): Put {
    const done = this.#client.transact((): { put: Put; bytes: number } => {
      if (this.has(photo.meetingId, photo.hash)) return { put: 'stored', bytes: 0 }
      const cleared = this.#makeRoom(photo, named)
      if (cleared === null) return { put: 'run full', bytes: 0 }
      const row = { ...photo, bytes: photo.data.length, at: this.#clock.now() }
      if (this.#bytes - cleared + row.bytes > this.#limit) return { put: 'board full', bytes: -cleared }
      this.#client.db.insert(photos).values(withChecksum(photos, row)).run()
      return { put: 'stored', bytes: row.bytes - cleared }
    })
    this.#bytes += done.bytes
    return done.put
  }

  /** Bytes that were cleared away so that the run has room for one more; null when it has none. */
  #makeRoom({ meetingId, runId }: NewPhoto, named: ReadonlySet<string>): number | null {
    const { db } = this.#client
    const ofRun = and(eq(photos.meetingId, meetingId), eq(photos.runId, runId))
    const shape = { hash: photos.hash, bytes: photos.bytes }
    const all = db.select(shape).from(photos).where(ofRun).all()
    if (all.length < ROWS_PER_RUN) return 0
    const before = this.#clock.now() - UNNAMED_FOR
    const old = db
      .select(shape)
      .from(photos)
      .where(and(ofRun, lt(photos.at, before)))
      .all()
    const gone = old.filter((row) => !named.has(row.hash))
    if (gone.length === 0) return null
    const hashes = gone.map((row) => row.hash)
    db.delete(photos)
      .where(and(ofRun, inArray(photos.hash, hashes)))
      .run()
    return gone.reduce((n, row) => n + row.bytes, 0)
  }

  /** Whether there is one, without reading it. @throws DatabaseError */
  has(meetingId: string, hash: string): boolean {
    return this.#read(() => {
      const is = and(eq(photos.meetingId, meetingId), eq(photos.hash, hash))
      return this.#client.db.select({ hash: photos.hash }).from(photos).where(is).get() !== undefined
    })
  }

  /** Null when there is none. @throws DatabaseError, also when it is not as it was written */
  get(meetingId: string, hash: string): { type: string; data: Buffer } | null {
    const row = this.#read(() => this.#row(meetingId, hash))
    if (!row) return null
    const { checksum, ...cells } = row
    if (rowChecksum(Object.values(cells)) !== checksum) throw new DatabaseError('damaged', `photo ${hash}`)
    return row
  }

  #row(meetingId: string, hash: string) {
    return this.#client.db
      .select()
      .from(photos)
      .where(and(eq(photos.meetingId, meetingId), eq(photos.hash, hash)))
      .get()
  }

  #read<T>(work: () => T): T {
    try {
      return work()
    } catch (e) {
      throw asDatabaseError(e)
    }
  }
}
