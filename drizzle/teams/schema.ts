import { integer, sqliteTable, text } from 'drizzle-orm/sqlite-core'

/** The list of teams that one server serves. Each team's board is a database of its own. Times are ms since the epoch. */

export const teams = sqliteTable('teams', {
  /** The first part of the host name under which its board is opened. */
  address: text().primaryKey(),
  name: text().notNull(),
  createdAt: integer().notNull(),
  /** Null while it is served. */
  archivedAt: integer(),
  checksum: integer().notNull(),
})

/** One row per operator's code, with which one team can be made. Only a hash of it is kept. */
export const operatorCodes = sqliteTable('operator_codes', {
  codeHash: text().primaryKey(),
  createdAt: integer().notNull(),
  expiresAt: integer().notNull(),
  usedAt: integer(),
  checksum: integer().notNull(),
})
