import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { openClient, type Client } from '@/drizzle/client'
import { migrate } from '@/drizzle/migrate'

export const DATABASE_FILE = 'board.db'

/**
 * Open (creating it where needed) the database of a data folder and bring it up to this version's schema.
 * @throws DatabaseError
 */
export function openDatabase(dataFolder: string): Client {
  mkdirSync(dataFolder, { recursive: true, mode: 0o700 })
  const client = openClient(join(dataFolder, DATABASE_FILE))
  try {
    migrate(client)
    return client
  } catch (e) {
    client.close()
    throw e
  }
}
