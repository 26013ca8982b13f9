import { and, desc, eq, isNull } from 'drizzle-orm'
import type { Clock } from '@/lib/core/clock'
import { newId } from '@/lib/core/id'
import { ok, refuse, type Result } from '@/lib/core/result'
import type { FeedInfo } from '@/lib/join/calendar-api'
import type { RandomBytes } from '@/lib/join/join-code'
import type { Client } from '@/drizzle/client'
import { calendarFeeds } from '@/drizzle/schema'
import { withChecksum } from '@/drizzle/table-checksum'
import { hashSecret, sameHash } from './secret-hash'

const TOKEN_BYTES = 32
/** Open feeds of one person, over all meetings: a few calendar apps for each of a few meetings. */
export const OPEN_FEEDS = 20
/** Rows kept of one person, closed ones included: they let a restore know what was closed. */
const KEPT_FEEDS = 100
/** base64url of 32 bytes. */
const TOKEN = /^[\w-]{43}$/

/**
 * Addresses under which a calendar app reads one person's day at one meeting. Such an address is a secret that lets read and nothing else: it
 * is never taken for a session, and only its hash is kept.
 */
export class CalendarFeeds {
  readonly #client: Client
  readonly #clock: Clock
  readonly #random: RandomBytes
  constructor(client: Client, clock: Clock, random: RandomBytes) {
    this.#client = client
    this.#clock = clock
    this.#random = random
  }

  create(wish: { personId: string; meetingId: string; createdBy: string }): Result<{
    feed: FeedInfo
    token: string
  }> {
    const token = Buffer.from(this.#random(TOKEN_BYTES)).toString('base64url')
    const feed: FeedInfo = {
      id: newId(),
      personId: wish.personId,
      meetingId: wish.meetingId,
      createdAt: this.#clock.now(),
    }
    const row = withChecksum(calendarFeeds, {
      ...feed,
      tokenHash: hashSecret('feed', token),
      createdBy: wish.createdBy,
      revokedAt: null,
    })
    return this.#client.transact(() => {
      const before = this.#client.db
        .select({ id: calendarFeeds.id, revokedAt: calendarFeeds.revokedAt })
        .from(calendarFeeds)
        .where(eq(calendarFeeds.personId, wish.personId))
        .orderBy(desc(calendarFeeds.createdAt))
        .all()
      if (before.filter((f) => f.revokedAt === null).length >= OPEN_FEEDS)
        return refuse(
          'Calendar',
          '',
          `this person has ${OPEN_FEEDS} open calendar addresses already`,
          'Close one that is no longer used, on the duties screen of its meeting.',
        )
      for (const { id } of before.filter((f) => f.revokedAt !== null).slice(KEPT_FEEDS - OPEN_FEEDS))
        this.#client.db.delete(calendarFeeds).where(eq(calendarFeeds.id, id)).run()
      this.#client.db.insert(calendarFeeds).values(row).run()
      return ok({ feed, token })
    })
  }

  /** The open feed with this token. */
  find(token: string): FeedInfo | null {
    if (!TOKEN.test(token)) return null
    const hash = hashSecret('feed', token)
    const row = this.#client.db.select().from(calendarFeeds).where(eq(calendarFeeds.tokenHash, hash)).get()
    return row && row.revokedAt === null && sameHash(row.tokenHash, hash) ? infoOf(row) : null
  }

  /** Open feeds of a meeting, newest first. */
  ofMeeting(meetingId: string): FeedInfo[] {
    return this.#client.db
      .select()
      .from(calendarFeeds)
      .where(and(eq(calendarFeeds.meetingId, meetingId), isNull(calendarFeeds.revokedAt)))
      .orderBy(desc(calendarFeeds.createdAt))
      .all()
      .map(infoOf)
  }

  get(id: string): FeedInfo | null {
    const row = this.#client.db.select().from(calendarFeeds).where(eq(calendarFeeds.id, id)).get()
    return row && row.revokedAt === null ? infoOf(row) : null
  }

  revoke(id: string): void {
    this.#client.transact(() => {
      const found = this.#client.db.select().from(calendarFeeds).where(eq(calendarFeeds.id, id)).get()
      if (!found || found.revokedAt !== null) return
      const { checksum: _, ...row } = found
      const next = withChecksum(calendarFeeds, { ...row, revokedAt: this.#clock.now() })
      this.#client.db.update(calendarFeeds).set(next).where(eq(calendarFeeds.id, id)).run()
    })
  }
}

const infoOf = (row: typeof calendarFeeds.$inferSelect): FeedInfo => ({
  id: row.id,
  personId: row.personId,
  meetingId: row.meetingId,
  createdAt: row.createdAt,
})
