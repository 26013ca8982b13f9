import { getTableColumns } from 'drizzle-orm'
import {
  bigint,
  customType,
  foreignKey,
  index,
  pgTable,
  primaryKey,
  smallint,
  text,
  type AnyPgColumn,
} from 'drizzle-orm/pg-core'
import { getTableConfig, type SQLiteColumn, type SQLiteTable } from 'drizzle-orm/sqlite-core'
import * as board from '../schema'

/**
 * The same tables for PostgreSQL, made from the one statement of them in `../schema`: numbers are `bigint`, yes and no are 0 and 1, bytes are
 * `bytea`. Only migrations are made from it; the server's queries are the same for both engines.
 */

const bytea = customType<{ data: Uint8Array }>({ dataType: () => 'bytea' })
const number = () => bigint({ mode: 'number' })

function columnOf(column: SQLiteColumn) {
  switch (column.columnType) {
    case 'SQLiteInteger':
      return number()
    case 'SQLiteBoolean':
      return smallint()
    case 'SQLiteText':
      return text()
    case 'SQLiteBlobBuffer':
      return bytea()
    default:
      throw new TypeError(`${column.columnType} has no counterpart in PostgreSQL`)
  }
}

type Columns = Record<string, AnyPgColumn>
const made = new Map<SQLiteTable, Columns>()

function postgresOf(table: SQLiteTable) {
  const { name, foreignKeys, indexes, primaryKeys } = getTableConfig(table)
  const columns = Object.entries(getTableColumns(table))
  const refers = new Set(foreignKeys.flatMap((key) => key.reference().columns))
  const keyOf = (column: unknown) => columns.find(([, c]) => c === column)?.[0] ?? ''
  const shape = Object.fromEntries(
    columns.map(([key, column]) => {
      const plain = column.notNull ? columnOf(column).notNull() : columnOf(column)
      const named = column.isUnique ? plain.unique() : plain
      if (!column.primary) return [key, named]
      // A lone number that refers to nothing is given by the database, as SQLite's row number is.
      const isGiven = column.columnType === 'SQLiteInteger' && !refers.has(column)
      return [key, isGiven ? number().primaryKey().generatedByDefaultAsIdentity() : named.primaryKey()]
    }),
  )
  const result = pgTable(name, shape, (t) => {
    const of = (list: readonly unknown[]) =>
      list.map((column) => (t as Columns)[keyOf(column)]) as [AnyPgColumn, ...AnyPgColumn[]]
    return [
      ...primaryKeys.map((key) => primaryKey({ columns: of(key.columns) })),
      ...indexes.map(({ config }) => index(config.name).on(...of(config.columns))),
      ...foreignKeys.map((key) => {
        const { columns: from, foreignTable, foreignColumns } = key.reference()
        const other = made.get(foreignTable)
        if (!other) throw new TypeError(`${name} refers to a table that is not made yet`)
        const there = Object.entries(getTableColumns(foreignTable))
        const to = foreignColumns.map((c) => other[there.find(([, is]) => is === c)?.[0] ?? ''])
        return foreignKey({ columns: of(from), foreignColumns: to as [AnyPgColumn] })
      }),
    ]
  })
  made.set(table, getTableColumns(result) as Columns)
  return result
}

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

/** One row per process that writes: how many transactions of it there have been. Shows what became of one whose answer was lost. */
export const writers = pgTable('writers', {
  owner: text().primaryKey(),
  head: number().notNull(),
  at: number().notNull(),
})
