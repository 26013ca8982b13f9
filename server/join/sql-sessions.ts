import { and, desc, eq, gt, isNull, lt, notInArray, or } from 'drizzle-orm'
import type { Clock } from '@/lib/core/clock'
import { newId } from '@/lib/core/id'
import type { RandomBytes } from '@/lib/join/join-code'
import { makeSessionToken, readSessionCookie, SESSION_DAYS } from '@/lib/join/session-cookie'
import type { Client } from '@/drizzle/client'
import { people, sessions } from '@/drizzle/schema'
import { withChecksum } from '@/drizzle/table-checksum'
import { realTimers } from '../sync/timers'
import type { Disposer, LiveSession, SessionChange, Sessions } from './live-session'
import { hashSecret, sameHash } from './secret-hash'

const LIFETIME_MS = SESSION_DAYS * 24 * 3600_000
/** Seeing a device is written down at most this often: it must not cost an fsync per message. */
const TOUCH_EVERY_MS = 30_000
/** How soon a session that ran out is noticed. */
const FULL_EVERY_MS = 30_000
const KEEP_ENDED_MS = 60 * 24 * 3600_000
/** However old, so many of the newest are kept: a wall clock that jumps far ahead and is put right must not have deleted what was in use. */
const KEEP_NEWEST = 1_000

export interface DeviceRow {
  sessionId: string
  personId: string
  deviceId: string
  invitationId: string | null
  device: string
  createdAt: number
  lastSeenAt: number
}

/**
 * Sessions in SQL. Other processes (the admin command) may change them too: `poll()` notices and tells the listeners, so that a revoked
 * phone loses its open socket whoever revoked it.
 */
export class SqlSessions implements Sessions {
  readonly #client: Client
  readonly #clock: Clock
  readonly #random: RandomBytes
  readonly #steady: () => number
  readonly #listeners = new Set<(event: SessionChange) => void>()
  /** What listeners believe about each session handed out. */
  readonly #known = new Map<string, LiveSession>()
  readonly #touched = new Map<string, number>()

  /** `steady`: ms of a clock that only goes forward, for durations; the wall clock may jump. */
  constructor(client: Client, clock: Clock, random: RandomBytes, steady = realTimers.steady) {
    this.#client = client
    this.#clock = clock
    this.#random = random
    this.#steady = steady
  }

  findByCookie(cookieHeader: string | undefined): LiveSession | null {
    const token = readSessionCookie(cookieHeader)
    if (token === null) return null
    const tokenHash = hashSecret('session', token)
    const row = this.#select(eq(sessions.tokenHash, tokenHash))[0]
    if (!row || !sameHash(row.tokenHash, tokenHash)) return null
    const session = liveSession(row)
    this.#known.set(session.sessionId, session)
    return session
  }

  onChange(listener: (event: SessionChange) => void): Disposer {
    this.#listeners.add(listener)
    return () => void this.#listeners.delete(listener)
  }

  touch(sessionId: string): void {
    const steady = this.#steady()
    if (steady - (this.#touched.get(sessionId) ?? -Infinity) < TOUCH_EVERY_MS) return
    const now = this.#clock.now()
    this.#client.transact(() => {
      this.#update(sessionId, { lastSeenAt: now, expiresAt: now + LIFETIME_MS })
    })
    this.#touched.set(sessionId, steady)
  }

  /** A new session for a person; inside `client.transact`. The token goes into the cookie and nowhere else. */
  create(wish: { personId: string; device: string; deviceId?: string; invitationId: string }) {
    const now = this.#clock.now()
    const token = makeSessionToken(this.#random)
    const sessionId: string = newId()
    const row = withChecksum(sessions, {
      id: sessionId,
      tokenHash: hashSecret('session', token),
      personId: wish.personId,
      deviceId: wish.deviceId ?? newId(),
      device: wish.device,
      invitationId: wish.invitationId,
      createdAt: now,
      lastSeenAt: now,
      expiresAt: now + LIFETIME_MS,
      revokedAt: null,
    })
    this.#client.db.insert(sessions).values(row).run()
    const newest = this.#client.db
      .select({ id: sessions.id })
      .from(sessions)
      .orderBy(desc(sessions.createdAt))
      .limit(KEEP_NEWEST)
    const ended = or(lt(sessions.expiresAt, now - KEEP_ENDED_MS), lt(sessions.revokedAt, now - KEEP_ENDED_MS))
    this.#client.db
      .delete(sessions)
      .where(and(ended, notInArray(sessions.id, newest)))
      .run()
    return { sessionId, token }
  }

  /** End a session. False when it is unknown or has ended already. */
  revoke(sessionId: string): boolean {
    const revoked = this.#client.transact(() => {
      if (this.#select(eq(sessions.id, sessionId)).length === 0) return false
      return this.#update(sessionId, { revokedAt: this.#clock.now() })
    })
    this.reconcile()
    return revoked
  }

  revokeOfPerson(personId: string): number {
    return this.devices().filter((d) => d.personId === personId && this.revoke(d.sessionId)).length
  }

  /** Live sessions, the one seen last first. */
  devices(): DeviceRow[] {
    return this.#select()
      .map((r) => ({
        sessionId: r.id,
        personId: r.personId,
        deviceId: r.deviceId,
        invitationId: r.invitationId,
        device: r.device,
        createdAt: r.createdAt,
        lastSeenAt: r.lastSeenAt,
      }))
      .sort((a, b) => b.lastSeenAt - a.lastSeenAt)
  }

  /** Compare what listeners believe with what the tables say, and tell them the differences. */
  reconcile(): void {
    const rows = new Map(this.#select().map((r) => [r.id, liveSession(r)]))
    for (const [sessionId, before] of [...this.#known]) {
      const session = rows.get(sessionId) ?? null
      if (session && session.name === before.name && session.role === before.role) continue
      if (session) this.#known.set(sessionId, session)
      else {
        this.#known.delete(sessionId)
        this.#touched.delete(sessionId)
      }
      for (const listener of [...this.#listeners]) listener({ sessionId, session })
    }
  }

  /** Tell listeners that every session has ended, whatever the tables say: nobody is let in here any more. */
  forgetAll(): void {
    const known = [...this.#known.keys()]
    this.#known.clear()
    for (const sessionId of known)
      for (const listener of [...this.#listeners]) listener({ sessionId, session: null })
  }

  /** Reconcile every `everyMs`: sees what other processes changed, and sessions that ran out. */
  poll(everyMs: number, onError: (e: unknown) => void): Disposer {
    let version: unknown = null
    let lastFull = -Infinity
    const timer = setInterval(() => {
      try {
        const next = this.#client.version()
        const now = this.#steady()
        if (next === version && now - lastFull < FULL_EVERY_MS) return
        version = next
        lastFull = now
        this.reconcile()
      } catch (e) {
        onError(e)
      }
    }, everyMs)
    timer.unref()
    return () => clearInterval(timer)
  }

  #select(where?: ReturnType<typeof eq>) {
    const live = and(where, isNull(sessions.revokedAt), gt(sessions.expiresAt, this.#clock.now()))
    return this.#client.db
      .select({
        id: sessions.id,
        tokenHash: sessions.tokenHash,
        personId: sessions.personId,
        deviceId: sessions.deviceId,
        invitationId: sessions.invitationId,
        device: sessions.device,
        createdAt: sessions.createdAt,
        lastSeenAt: sessions.lastSeenAt,
        name: people.name,
        role: people.role,
      })
      .from(sessions)
      .innerJoin(people, eq(people.id, sessions.personId))
      .where(live)
      .all()
  }

  #update(
    sessionId: string,
    change: { lastSeenAt?: number; expiresAt?: number; revokedAt?: number },
  ): boolean {
    const found = this.#client.db.select().from(sessions).where(eq(sessions.id, sessionId)).get()
    if (!found || found.revokedAt !== null) return false
    const { checksum: _, ...row } = found
    const next = withChecksum(sessions, { ...row, ...change })
    this.#client.db.update(sessions).set(next).where(eq(sessions.id, sessionId)).run()
    return true
  }
}

const liveSession = (r: { id: string } & Omit<LiveSession, 'sessionId'>): LiveSession => ({
  sessionId: r.id,
  personId: r.personId,
  name: r.name,
  role: r.role,
  deviceId: r.deviceId,
  invitationId: r.invitationId ?? null,
})
