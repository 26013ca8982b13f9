import { chmodSync, existsSync, mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { openClient, type SqliteClient } from '@/drizzle/client'
import { migrate } from '@/drizzle/migrate'
import { CommitMark } from './commit-mark'
import { DATABASE_FILE, PARTS } from './database-file'
import { FolderWatch } from './folder-watch'
import { refuseHalfABoard } from './restore'

export interface OpenOptions {
  /** How long a write waits for another program's lock, ms; the default suits a command that has nothing else to do. */
  busyMs?: number
  /** This process closed it in good order and has looked at every row before: only its log is looked at. */
  isKnown?: boolean
}

/** Only their owner may read what holds sessions; SQLite gives the log its database's permissions. */
function keepPrivate(file: string): void {
  // Never opened and closed when it is there: that would drop the locks of whoever has it open in this process.
  if (!existsSync(file)) writeFileSync(file, '', { mode: 0o600 })
  for (const part of PARTS) if (existsSync(file + part)) chmodSync(file + part, 0o600)
}

/**
 * Open (creating it where needed) the database of a data folder and bring it up to this version's schema.
 * @throws DatabaseError
 */
export function openDatabase(dataFolder: string, options: OpenOptions = {}): SqliteClient {
  mkdirSync(dataFolder, { recursive: true, mode: 0o700 })
  refuseHalfABoard(dataFolder)
  const file = join(dataFolder, DATABASE_FILE)
  keepPrivate(file)
  const client = openClient(file)
  try {
    migrate(client)
    if (options.busyMs !== undefined) client.connection.pragma(`busy_timeout = ${options.busyMs}`)
    const folder = new FolderWatch(dataFolder)
    const mark = new CommitMark(client, dataFolder)
    client.watchWith({
      check: () => folder.check(),
      before: () => folder.checkWritten(),
      after: () => {
        mark.write()
        folder.checkWritten()
      },
      // Into both slots: damage to one must not make the other claim a log that was folded and taken away.
      closing: () => {
        mark.write()
        mark.write()
      },
      closed: () => mark.close(),
    })
    return client
  } catch (e) {
    client.close()
    throw e
  }
}
