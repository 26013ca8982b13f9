import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { openClient, type Client } from '@/drizzle/client'
import { migrate } from '@/drizzle/migrate'
import { DATABASE_FILE } from './database-file'
import { FolderWatch } from './folder-watch'
import { refuseHalfABoard } from './restore'

export interface OpenOptions {
  /** How long a write waits for another program's lock, ms; the default suits a command that has nothing else to do. */
  busyMs?: number
}

/**
 * Open (creating it where needed) the database of a data folder and bring it up to this version's schema.
 * @throws DatabaseError
 */
export function openDatabase(dataFolder: string, options: OpenOptions = {}): Client {
  mkdirSync(dataFolder, { recursive: true, mode: 0o700 })
  refuseHalfABoard(dataFolder)
  const client = openClient(join(dataFolder, DATABASE_FILE))
  try {
    migrate(client)
    if (options.busyMs !== undefined) client.connection.pragma(`busy_timeout = ${options.busyMs}`)
    const watch = new FolderWatch(dataFolder)
    const check = () => watch.check()
    client.watchWith({ before: check, after: check, closing: () => undefined })
    return client
  } catch (e) {
    client.close()
    throw e
  }
}
