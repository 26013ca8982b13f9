import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { openClient } from '@/drizzle/client'
import { asDatabaseError, DatabaseError } from '@/drizzle/database-error'

export const LOCK_FILE = 'server.lock'

export interface FolderLock {
  release(): void
}

/**
 * Keep a data folder to this process. The lock is the operating system's (an exclusive lock on a file of its own, through SQLite), so it
 * ends with the process however that ends. Null when somebody else has it.
 */
export function lockFolder(dataFolder: string): FolderLock | null {
  mkdirSync(dataFolder, { recursive: true, mode: 0o700 })
  try {
    const client = openClient(join(dataFolder, LOCK_FILE), { journal: 'delete', busyMs: 0 })
    try {
      client.connection.exec('BEGIN EXCLUSIVE')
    } catch (e) {
      client.close()
      throw e
    }
    return { release: () => client.close() }
  } catch (e) {
    const error = asDatabaseError(e)
    // A full disk, say, is nobody else.
    if (!(error instanceof DatabaseError) || error.trouble !== 'busy') throw error
    return null
  }
}
