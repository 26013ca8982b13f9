import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { migrate as runMigrations } from 'drizzle-orm/better-sqlite3/migrator'
import { z } from 'zod'
import type { Client } from './client'
import { asDatabaseError, DatabaseError } from './database-error'

const FOLDER = fileURLToPath(new URL('./migrations', import.meta.url))
const journalSchema = z.object({ entries: z.array(z.object({ when: z.number(), tag: z.string() })).min(1) })

/**
 * Bring a database up to this version's schema.
 * @throws DatabaseError `too-new` when a newer version has written it: going on could lose what that version keeps.
 */
export function migrate(client: Client): void {
  try {
    const applied = latestApplied(client)
    const latest = latestKnown()
    if (applied !== null && applied > latest.when)
      throw new DatabaseError(
        'too-new',
        `it has migrations from ${new Date(applied).toISOString().slice(0, 10)}, this version knows them up to ${latest.tag}`,
      )
    runMigrations(client.db, { migrationsFolder: FOLDER })
  } catch (e) {
    throw asDatabaseError(e)
  }
}

function latestKnown() {
  const journal = journalSchema.parse(JSON.parse(readFileSync(join(FOLDER, 'meta', '_journal.json'), 'utf8')))
  return journal.entries.reduce((a, b) => (b.when > a.when ? b : a))
}

function latestApplied({ connection }: Client): number | null {
  const table = connection
    .prepare(`SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = '__drizzle_migrations'`)
    .get()
  if (!table) return null
  const row = connection.prepare('SELECT max(created_at) AS at FROM __drizzle_migrations').get()
  return z.object({ at: z.number().nullable() }).parse(row).at
}
