import { bigint, pgTable, text, type AnyPgColumn } from 'drizzle-orm/pg-core'
import * as board from '../schema'
import { postgresOf } from './postgres-of'

/**
 * The same tables for PostgreSQL, made from the one statement of them in `../schema`: numbers are `bigint`, yes and no are 0 and 1, bytes are
 * `bytea`. Only migrations are made from it; the server's queries are the same for both engines.
 */

const number = () => bigint({ mode: 'number' })

export const rooms = postgresOf(board.rooms)
export const updates = postgresOf(board.updates)
export const snapshots = postgresOf(board.snapshots)
export const authors = postgresOf(board.authors)
export const audit = postgresOf(board.audit)
export const people = postgresOf(board.people)
export const sessions = postgresOf(board.sessions)
export const invitations = postgresOf(board.invitations)
export const calendarFeeds = postgresOf(board.calendarFeeds)
export const photos = postgresOf(board.photos)
export const generations = postgresOf(board.generations)

/** [P1] Who judges a room. Taking it over begins another epoch; nothing is written under one that is not the newest. */
export const owners = pgTable('owners', {
  roomId: number()
    .primaryKey()
    .references(() => rooms['id'] as AnyPgColumn),
  epoch: number().notNull(),
  owner: text().notNull(),
  /** Where the owner is reached. */
  address: text().notNull(),
  /** ms since the epoch, by the database's clock. */
  leaseUntil: number().notNull(),
})

export { writers } from './writers'
