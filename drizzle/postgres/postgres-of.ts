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

/** A table of SQLite's as PostgreSQL has it. Those that it refers to are made before it. */
export function postgresOf(table: SQLiteTable) {
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
