import { and, count, eq, sql } from 'drizzle-orm'
import type { Clock } from '@/lib/core/clock'
import { PHOTOS_PER_RUN } from '@/lib/core/photo-limits'
import { ok, refuse, type Result } from '@/lib/core/result'
import type { Client } from '@/drizzle/client'
import { asDatabaseError, DatabaseError } from '@/drizzle/database-error'
import { photos } from '@/drizzle/schema'
import { rowChecksum } from '@/drizzle/row-checksum'
import { withChecksum } from '@/drizzle/table-checksum'

/** A run's rows: twelve photos with a thumbnail each, and as many again for those that were removed. */
export const ROWS_PER_RUN = 4 * PHOTOS_PER_RUN
/** All photos of the board together, bytes: some 10,000 photos. Our choice, so that photos can't fill the disk that edits are saved on. */
export const STORE_BYTES = 4 * 1024 ** 3

export interface NewPhoto {
  meetingId: string
  runId: string
  /** SHA-256 of `data`, as hex; the caller has checked it. */
  hash: string
  type: string
  data: Buffer
  personId: string
}

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

  /** On disk when it returns. The same photo twice is stored once. @throws DatabaseError */
  put(photo: NewPhoto): Result<void> {
    const { db } = this.#client
    const ofRun = and(eq(photos.meetingId, photo.meetingId), eq(photos.runId, photo.runId))
    const done = this.#client.transact((): Result<number> => {
      if (this.#row(photo.meetingId, photo.hash)) return ok(0)
      if ((db.select({ n: count() }).from(photos).where(ofRun).get()?.n ?? 0) >= ROWS_PER_RUN)
        return refuse('Photo', '', 'this run has as many as a run may have', 'Put it on another run.')
      if (this.#bytes + photo.data.length > this.#limit)
        return refuse(
          'Photo',
          '',
          'the board’s room for photos is full',
          'Ask whoever runs the server; it stays on this phone.',
        )
      const row = { ...photo, bytes: photo.data.length, at: this.#clock.now() }
      db.insert(photos).values(withChecksum(photos, row)).run()
      return ok(row.bytes)
    })
    if (!done.ok) return done
    this.#bytes += done.value
    return ok(undefined)
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
