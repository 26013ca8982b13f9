import { getTableColumns, getTableName } from 'drizzle-orm'
import type { SQLiteTable } from 'drizzle-orm/sqlite-core'
import { openClient, type SqliteClient } from '@/drizzle/client'
import { schemaDifferences } from '@/drizzle/migrate'
import { rowChecksum } from '@/drizzle/row-checksum'
import * as schema from '@/drizzle/schema'
import { readRoomDoc } from './read-room-doc'
import { SqliteStore } from './sqlite-store'

export interface Verification {
  /** Empty when everything is as it was written. */
  problems: string[]
  /** Photos that are not as they were written. The board is right without them, so they stop nothing; they are told and never served. */
  photos: string[]
  /** Rows looked at, by table. */
  rows: Record<string, number>
}

const TABLES: SQLiteTable[] = [
  schema.rooms,
  schema.updates,
  schema.snapshots,
  schema.authors,
  schema.audit,
  schema.people,
  schema.sessions,
  schema.invitations,
  schema.calendarFeeds,
  schema.photos,
  schema.generations,
]
const MAX_PROBLEMS = 100

/**
 * Look for damage: SQLite's own integrity check (structure, indices, types), each row's checksum (content), and whether every room's
 * document can be built (meaning). Never throws; a file that can't be read is a problem like any other.
 */
export function verifyDatabase(file: string): Verification {
  const found: Verification = { problems: [], photos: [], rows: {} }
  const attempt = (what: string, work: () => void) => {
    try {
      work()
    } catch (e) {
      found.problems.push(`${what}: ${e instanceof Error ? e.message : String(e)}`)
    }
  }
  let client: SqliteClient | null = null
  attempt('Opening', () => {
    client = openClient(file, { readonly: true })
    verifyClient(client, found, attempt)
  })
  // TypeScript does not see assignments inside closures.
  attempt('Closing', () => client?.close())
  for (const list of [found.problems, found.photos]) list.splice(MAX_PROBLEMS)
  return found
}

function verifyClient(
  client: SqliteClient,
  found: Verification,
  attempt: (what: string, work: () => void) => void,
): void {
  const { connection } = client
  attempt('Integrity check', () => {
    for (const row of connection.pragma(`integrity_check(${MAX_PROBLEMS})`) as { integrity_check: string }[])
      if (row.integrity_check !== 'ok') found.problems.push(`Integrity check: ${row.integrity_check}`)
    for (const row of connection.pragma('foreign_key_check') as { table: string; rowid: number }[])
      found.problems.push(`Row ${row.rowid} of ${row.table} refers to a row that is missing`)
  })
  attempt('Schema', () => found.problems.push(...schemaDifferences(client)))
  for (const table of TABLES) attempt(`Table ${getTableName(table)}`, () => verifyTable(client, table, found))
  // A backup by an earlier version has no such table; the restore gives it its row.
  if ((found.rows[getTableName(schema.generations)] ?? 1) !== 1)
    found.problems.push('The board’s generation is not one row')
  attempt('Rooms', () => {
    const store = new SqliteStore(client)
    for (const room of store.rooms()) attempt(`Room ${room}`, () => readRoomDoc(store, room).destroy())
  })
}

function verifyTable({ connection }: SqliteClient, table: SQLiteTable, found: Verification): void {
  const name = getTableName(table)
  // A backup by an earlier version lacks later tables; one that should be there is missed by the look at the schema.
  if (!connection.prepare(`SELECT 1 FROM sqlite_master WHERE name = ?`).get(name)) return
  const columns = Object.values(getTableColumns(table))
    // Row numbers are given by SQLite after the checksum is made; the integrity check compares them with the indices.
    .filter((c) => !(c.primary && c.name === 'seq') && c.name !== 'checksum')
    .map((c) => `"${snakeCase(c.name)}"`)
  const rows = connection
    .prepare(`SELECT rowid AS "row", checksum AS "sum", ${columns.join(', ')} FROM "${name}"`)
    .raw()
    .iterate() as IterableIterator<[number, number, ...(string | number | null | Uint8Array)[]]>
  let count = 0
  for (const [row, sum, ...cells] of rows) {
    count++
    if (rowChecksum(cells) !== sum)
      (table === schema.photos ? found.photos : found.problems).push(
        `Row ${row} of ${name} is not as it was written`,
      )
  }
  found.rows[name] = count
}

const snakeCase = (name: string): string => name.replace(/[A-Z]/g, (c) => `_${c.toLowerCase()}`)
