import { eq, gt, isNotNull, or } from 'drizzle-orm'
import { openClient, type SqliteClient } from '@/drizzle/client'
import { calendarFeeds, invitations, sessions } from '@/drizzle/schema'
import { withChecksum } from '@/drizzle/table-checksum'

/** What has been ended or used up, by id. */
export interface Ended {
  /** When sessions, calendar feeds and invitations were revoked, ms since the epoch. */
  sessions: Map<string, number>
  feeds: Map<string, number>
  /** How often invitations were used, and when they were revoked. */
  invitations: Map<string, { uses: number; revokedAt: number | null }>
  /** Tables that could not be read. */
  unread: string[]
}

/** What databases know as ended or used up: a phone that was thrown out must not come back with an old backup. Never throws. */
export function readEnded(files: readonly string[]): Ended {
  const ended: Ended = { sessions: new Map(), feeds: new Map(), invitations: new Map(), unread: [] }
  for (const file of files) {
    const attempt = (what: string, read: () => void) => {
      try {
        read()
      } catch {
        // A database that is restored over may well be beyond reading; one by an early version lacks tables.
        ended.unread.push(what)
      }
    }
    attempt('database', () => {
      const client = openClient(file, { readonly: true })
      try {
        attempt('sessions', () => readSessions(client, ended))
        attempt('invitations', () => readInvitations(client, ended))
        if (hasFeeds(client)) attempt('calendar feeds', () => readFeeds(client, ended))
      } finally {
        client.close()
      }
    })
  }
  return ended
}

const hasFeeds = ({ connection }: SqliteClient): boolean =>
  connection.prepare(`SELECT 1 FROM sqlite_master WHERE name = 'calendar_feeds'`).get() !== undefined

function readSessions({ db }: SqliteClient, ended: Ended): void {
  const { id, revokedAt } = sessions
  for (const row of db.select({ id, revokedAt }).from(sessions).where(isNotNull(revokedAt)).all())
    if (row.revokedAt !== null) ended.sessions.set(row.id, row.revokedAt)
}

function readFeeds({ db }: SqliteClient, ended: Ended): void {
  const { id, revokedAt } = calendarFeeds
  for (const row of db.select({ id, revokedAt }).from(calendarFeeds).where(isNotNull(revokedAt)).all())
    if (row.revokedAt !== null) ended.feeds.set(row.id, row.revokedAt)
}

function readInvitations({ db }: SqliteClient, ended: Ended): void {
  const { id, uses, revokedAt } = invitations
  const touched = or(gt(uses, 0), isNotNull(revokedAt))
  for (const row of db.select({ id, uses, revokedAt }).from(invitations).where(touched).all()) {
    const known = ended.invitations.get(row.id)
    ended.invitations.set(row.id, {
      uses: Math.max(row.uses, known?.uses ?? 0),
      revokedAt: row.revokedAt ?? known?.revokedAt ?? null,
    })
  }
}

/** End and use up the same in a migrated database, where it still counts as open. */
export function carryOver(client: SqliteClient, ended: Ended): void {
  const { db } = client
  client.transact(() => {
    for (const table of [sessions, calendarFeeds] as const) {
      const revoked = table === sessions ? ended.sessions : ended.feeds
      for (const { checksum: _, ...row } of db.select().from(table).all()) {
        const revokedAt = revoked.get(row.id)
        if (revokedAt === undefined || row.revokedAt !== null) continue
        db.update(table)
          .set(withChecksum(table, { ...row, revokedAt }))
          .where(eq(table.id, row.id))
          .run()
      }
    }
    for (const { checksum: _, ...row } of db.select().from(invitations).all()) {
      const since = ended.invitations.get(row.id)
      if (!since) continue
      const uses = Math.max(row.uses, since.uses)
      const revokedAt = row.revokedAt ?? since.revokedAt
      db.update(invitations)
        .set(withChecksum(invitations, { ...row, uses, revokedAt }))
        .where(eq(invitations.id, row.id))
        .run()
    }
  })
}
