import { blob, index, integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core'
import type { Role } from '@/lib/core/role'

/**
 * The server's database. Times are ms since the epoch. `checksum` is a CRC-32 over the row's other columns (see row-checksum.ts):
 * `verify` uses it to find damage that SQLite's own integrity check cannot see.
 */

/** Names of board documents; the other tables refer to them by a small number. */
export const rooms = sqliteTable('rooms', {
  id: integer().primaryKey(),
  name: text().notNull().unique(),
  checksum: integer().notNull(),
})

/**
 * Yjs updates (v1 encoding) since the room's snapshot, in the order they were accepted. Numbers are given anew once a snapshot has taken
 * the rows in; among the rows there are, a later one has the higher number.
 */
export const updates = sqliteTable(
  'updates',
  {
    seq: integer().primaryKey(),
    roomId: integer()
      .notNull()
      .references(() => rooms.id),
    at: integer().notNull(),
    data: blob({ mode: 'buffer' }).notNull(),
    checksum: integer().notNull(),
  },
  (t) => [index('updates_by_room').on(t.roomId)],
)

/** The room's state up to its oldest row in `updates`, as one Yjs update in v2 encoding. */
export const snapshots = sqliteTable('snapshots', {
  roomId: integer()
    .primaryKey()
    .references(() => rooms.id),
  data: blob({ mode: 'buffer' }).notNull(),
  checksum: integer().notNull(),
})

/** Whose a Yjs clientID is. */
export const authors = sqliteTable(
  'authors',
  {
    roomId: integer()
      .notNull()
      .references(() => rooms.id),
    clientId: integer().notNull(),
    personId: text().notNull(),
    checksum: integer().notNull(),
  },
  (t) => [primaryKey({ columns: [t.roomId, t.clientId] })],
)

/** Who changed what, when. Only ever appended to. */
export const audit = sqliteTable(
  'audit',
  {
    seq: integer().primaryKey(),
    roomId: integer()
      .notNull()
      .references(() => rooms.id),
    at: integer().notNull(),
    personId: text().notNull(),
    deviceId: text().notNull(),
    collection: text().notNull(),
    recordId: text().notNull(),
    field: text().notNull(),
    /** JSON text; null when the field was empty. */
    before: text(),
    after: text(),
    outcome: text({ enum: ['accepted', 'overwritten', 'refused'] }).notNull(),
    checksum: integer().notNull(),
  },
  // SQLite appends the rowid (seq) to every index, so a record's history comes newest first without sorting. A whole day's is read backwards
  // from the table's end: every index is one more page in every commit that somebody waits for.
  (t) => [index('audit_by_record').on(t.roomId, t.recordId)],
)

/** Roles live here, not on the board: a role is never a matter of a merge. */
export const people = sqliteTable('people', {
  id: text().primaryKey(),
  name: text().notNull(),
  role: text().$type<Role>().notNull(),
  createdAt: integer().notNull(),
  checksum: integer().notNull(),
})

/** One row per joined device. Only a hash of its cookie is kept. */
export const sessions = sqliteTable(
  'sessions',
  {
    id: text().primaryKey(),
    tokenHash: text().notNull().unique(),
    personId: text()
      .notNull()
      .references(() => people.id),
    deviceId: text().notNull(),
    device: text().notNull(),
    invitationId: text(),
    createdAt: integer().notNull(),
    lastSeenAt: integer().notNull(),
    expiresAt: integer().notNull(),
    revokedAt: integer(),
    checksum: integer().notNull(),
  },
  (t) => [index('sessions_by_person').on(t.personId)],
)

/** One row per invitation. Only a hash of its code is kept. */
export const invitations = sqliteTable('invitations', {
  id: text().primaryKey(),
  codeHash: text().notNull().unique(),
  role: text().$type<Role>().notNull(),
  /** A name to offer at joining. */
  name: text(),
  singleUse: integer({ mode: 'boolean' }).notNull(),
  createdBy: text().notNull(),
  createdAt: integer().notNull(),
  expiresAt: integer().notNull(),
  uses: integer().notNull(),
  revokedAt: integer(),
  checksum: integer().notNull(),
})

/** One row per calendar feed: one person's day at one meeting, to be read by a calendar app. Only a hash of its token is kept. */
export const calendarFeeds = sqliteTable('calendar_feeds', {
  id: text().primaryKey(),
  tokenHash: text().notNull().unique(),
  personId: text().notNull(),
  meetingId: text().notNull(),
  createdBy: text().notNull(),
  createdAt: integer().notNull(),
  revokedAt: integer(),
  checksum: integer().notNull(),
})

/**
 * Photos and their thumbnails, named by the SHA-256 of their bytes. The board says which of them are shown; a row that no board names is
 * an upload whose word did not arrive, and is shown nowhere.
 */
export const photos = sqliteTable(
  'photos',
  {
    meetingId: text().notNull(),
    hash: text().notNull(),
    runId: text().notNull(),
    type: text().notNull(),
    bytes: integer().notNull(),
    personId: text().notNull(),
    at: integer().notNull(),
    // Behind what is looked at without it: SQLite walks through a long value to reach what follows it.
    data: blob({ mode: 'buffer' }).notNull(),
    checksum: integer().notNull(),
  },
  (t) => [primaryKey({ columns: [t.meetingId, t.hash] }), index('photos_by_run').on(t.meetingId, t.runId)],
)

/**
 * [S23] One row: which life of the board this database holds. A restore begins another, so that phones can tell what they hold from what
 * the database does.
 */
export const generations = sqliteTable('generations', {
  id: integer().primaryKey(),
  generation: text().notNull(),
  checksum: integer().notNull(),
})
