import { readFileSync, statfsSync, statSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import SqliteDatabase from 'better-sqlite3'
import { drizzle } from 'drizzle-orm/better-sqlite3'
import { migrate as runMigrations } from 'drizzle-orm/better-sqlite3/migrator'
import { readMigrationFiles } from 'drizzle-orm/migrator'
import { z } from 'zod'
import type { SqliteClient } from './client'
import { asDatabaseError, DatabaseError } from './database-error'
import { ensureGeneration } from './generation'

const FOLDER = fileURLToPath(new URL('./migrations', import.meta.url))
const journalSchema = z.object({ entries: z.array(z.object({ when: z.number(), tag: z.string() })).min(1) })

/**
 * Bring a board's database up to this version's schema.
 * @throws DatabaseError `too-new` when a newer version has written it: going on could lose what that version keeps.
 */
export function migrate(client: SqliteClient): void {
  migrateBy(client, FOLDER)
  try {
    ensureGeneration(client)
  } catch (e) {
    throw asDatabaseError(e)
  }
}

/** Bring any database up to the migrations of a folder. @throws DatabaseError as `migrate` does */
export function migrateBy(client: SqliteClient, folder: string): void {
  try {
    const applied = latestApplied(client)
    const latest = newestMigration(folder)
    if (applied !== null && applied > latest.newest)
      throw new DatabaseError(
        'too-new',
        `it has migrations from ${new Date(applied).toISOString().slice(0, 10)}, this version knows them up to ${latest.tag}`,
      )
    runMigrations(client.db, { migrationsFolder: folder })
  } catch (e) {
    throw asDatabaseError(whyRolledBack(e, client) ?? e)
  }
}

/**
 * Out of room or with a disk that fails, SQLite takes the transaction back by itself; drizzle then takes it back once more, and the error of that
 * hides the first one.
 */
function whyRolledBack(e: unknown, { connection }: SqliteClient): DatabaseError | null {
  const said = e instanceof Error && e.cause instanceof Error ? e.cause.message : String(e)
  if (!said.includes('no transaction is active') || connection.memory) return null
  const { bavail, bsize } = statfsSync(dirname(connection.name))
  const isFull = bavail * bsize < 2 * statSync(connection.name).size
  return new DatabaseError(isFull ? 'disk-full' : 'input-output', 'while bringing it up to this version', e)
}

/**
 * How a database's schema differs from what the migrations it claims to have make: one line per table or index, empty when it does not.
 * SQLite's integrity check takes the schema as it finds it.
 */
export function schemaDifferences({ connection }: SqliteClient): string[] {
  const applied = appliedSchema.array().parse(connection.prepare(APPLIED).all())
  const claimed = new Set(applied.map((a) => `${a.created_at} ${a.hash}`))
  const known = readMigrationFiles({ migrationsFolder: FOLDER })
  const made = new SqliteDatabase(':memory:')
  const full = new SqliteDatabase(':memory:')
  try {
    const differences: string[] = []
    for (const { folderMillis, hash, sql } of known) {
      if (!claimed.delete(`${folderMillis} ${hash}`)) break
      for (const statement of sql) made.exec(statement)
    }
    for (const migration of claimed) differences.push(`Migration ${migration} is unknown`)
    // The table that drizzle notes migrations in is the same after any number of them.
    runMigrations(drizzle(full), { migrationsFolder: FOLDER })
    const want = new Map([...schemaOf(made, 'other'), ...schemaOf(full, 'migrations')])
    const is = new Map([...schemaOf(connection, 'other'), ...schemaOf(connection, 'migrations')])
    for (const [name, sql] of is)
      if (want.get(name) !== sql) differences.push(`The schema of ${name} is not as it was made`)
    for (const name of want.keys()) if (!is.has(name)) differences.push(`${name} is missing from the schema`)
    return differences
  } finally {
    made.close()
    full.close()
  }
}

const APPLIED = 'SELECT hash, created_at FROM __drizzle_migrations ORDER BY created_at'
const appliedSchema = z.object({ hash: z.string(), created_at: z.number() })

const schemaOf = (connection: SqliteDatabase.Database, tables: 'migrations' | 'other'): Map<string, string> =>
  new Map(
    connection
      .prepare(
        `SELECT type || ' ' || name AS name, tbl_name || ' ' || coalesce(sql, '') AS sql FROM sqlite_master
         WHERE tbl_name ${tables === 'migrations' ? '=' : '<>'} '__drizzle_migrations'`,
      )
      .all()
      .map((row) => z.object({ name: z.string(), sql: z.string() }).parse(row))
      .map(({ name, sql }) => [name, sql]),
  )

/** The newest of the migrations in a folder. */
export function newestMigration(folder: string): { newest: number; tag: string } {
  const journal = journalSchema.parse(JSON.parse(readFileSync(join(folder, 'meta', '_journal.json'), 'utf8')))
  const { when, tag } = journal.entries.reduce((a, b) => (b.when > a.when ? b : a))
  return { newest: when, tag }
}

function latestApplied({ connection }: SqliteClient): number | null {
  const table = connection
    .prepare(`SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = '__drizzle_migrations'`)
    .get()
  if (!table) return null
  const row = connection.prepare('SELECT max(created_at) AS at FROM __drizzle_migrations').get()
  return z.object({ at: z.number().nullable() }).parse(row).at
}
