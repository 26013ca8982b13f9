import type { Cell, Rows } from './line'

type Ask = (sql: string, params: readonly Cell[]) => Rows

/**
 * What drizzle's synchronous session asks of a connection, answered by PostgreSQL.
 * Rows are arrays after `raw()`, else objects.
 */
export const connectionOver = (ask: Ask) => ({
  prepare(text: string) {
    const sql = translated(text)
    const all = (params: readonly Cell[]) => ask(sql, params)
    const rowOf = ({ names }: Rows, row: readonly unknown[]) =>
      Object.fromEntries(names.map((name, i) => [name, row[i]]))
    return {
      run: (...params: Cell[]) => ({ changes: all(params).count, lastInsertRowid: 0 }),
      all: (...params: Cell[]) => {
        const rows = all(params)
        return rows.rows.map((row) => rowOf(rows, row))
      },
      get: (...params: Cell[]) => {
        const rows = all(params)
        return rows.rows[0] && rowOf(rows, rows.rows[0])
      },
      raw: () => ({
        all: (...params: Cell[]) => all(params).rows,
        get: (...params: Cell[]) => all(params).rows[0],
      }),
    }
  },
})

/** drizzle's SQL for SQLite as PostgreSQL takes it: `?` outside of quotes is `$1`, `$2`, ..., and a conflict names columns without their table. */
export function translated(sql: string): string {
  let n = 0
  return sql
    .replace(/'(?:[^']|'')*'|"(?:[^"]|"")*"|\?/g, (found) => (found === '?' ? `$${++n}` : found))
    .replace(/ on conflict \("\w+"\.("\w+")\) /, ' on conflict ($1) ')
}
