import type { Statement } from 'better-sqlite3'
import { is, Param, Placeholder } from 'drizzle-orm'
import { z } from 'zod'
import type { SqliteClient } from './client'

type Cell = string | number | null | Uint8Array

/**
 * An insert for the busy path, compiled once: the builder's SQL, run without the builder's work for every row (half of what a row of the
 * audit trail cost). The cells go in as they are, so no column of `query` may need translating on its way into SQLite.
 * Returns how many rows were added. @throws TypeError when `query` holds anything but placeholders; SqliteError
 */
export function boundInsert<Row extends Record<string, Cell>>(
  { connection }: SqliteClient,
  query: { toSQL(): { sql: string; params: unknown[] } },
): (row: Row) => number {
  const { sql, params } = query.toSQL()
  const names = params.map(nameOf)
  const statement: Statement<Cell[]> = connection.prepare(sql)
  return (row) => statement.run(...names.map((name) => row[name] ?? null)).changes
}

function nameOf(param: unknown): string {
  const placeholder = is(param, Param) ? (param.value as unknown) : param
  if (!is(placeholder, Placeholder)) throw new TypeError('A bound insert takes placeholders only')
  return z.string().parse(placeholder.name)
}
