import { newId } from '@/lib/core/id'
import type { Client } from './client'
import { DatabaseError } from './database-error'
import { generations } from './schema'
import { withChecksum } from './table-checksum'

const ROW = 1

/** [S23] Which life of the board a migrated database holds. @throws DatabaseError when the row is missing or damaged. */
export function readGeneration({ db }: Client): string {
  const row = db.select().from(generations).get()
  if (!row || withChecksum(generations, row).checksum !== row.checksum)
    throw new DatabaseError('damaged', 'the board’s generation')
  return row.generation
}

/**
 * [S23] Begin another generation: to be called wherever a database takes the place of one that phones may have heard of later edits from.
 * @returns the new one.
 */
export function renewGeneration(client: Client): string {
  const generation = newId<'generation'>()
  const row = withChecksum(generations, { id: ROW, generation })
  client.db
    .insert(generations)
    .values(row)
    .onConflictDoUpdate({ target: generations.id, set: { generation, checksum: row.checksum } })
    .run()
  return generation
}

/** A database that has none yet gets its first. */
export function ensureGeneration(client: Client): void {
  if (client.db.select({ id: generations.id }).from(generations).get() === undefined) renewGeneration(client)
}
