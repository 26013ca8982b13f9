import { getTableColumns } from 'drizzle-orm'
import type { SQLiteTable } from 'drizzle-orm/sqlite-core'
import { rowChecksum } from './row-checksum'

type Row<T extends SQLiteTable> = T['$inferSelect']

/** A row of a table with its checksum over all other columns in the schema's order. */
export function withChecksum<T extends SQLiteTable>(table: T, row: Omit<Row<T>, 'checksum'>): Row<T> {
  const cells = row as Record<string, string | number | boolean | null | undefined>
  const names = Object.keys(getTableColumns(table)).filter((name) => name !== 'checksum')
  const checksum = rowChecksum(names.map((name) => cells[name] ?? null))
  return { ...row, checksum } as Row<T>
}
