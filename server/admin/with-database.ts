import { DatabaseError } from '@/drizzle/database-error'
import { openPostgres } from '@/drizzle/postgres/client'
import type { BoardClient } from '../storage/board-client'
import { checkLog } from '../storage/check-log'
import { lockFolder } from '../storage/folder-lock'
import { openDatabase } from '../storage/open-database'
import { UsageError, type AdminContext } from './admin-context'

/**
 * Work on the database beside a running server, or alone. Alone, a damaged log is left to the next start, which says what became of it:
 * opening and closing the database here would fold what is left of it and take the rest away.
 * @throws DatabaseError
 */
export async function withDatabase<T>(
  { settings }: AdminContext,
  work: (client: BoardClient) => T | Promise<T>,
  /** Set where no server may be running; what to say if one is. */
  alone?: string,
): Promise<T> {
  const { dataFolder, database } = settings
  if (database !== null) {
    const client = openPostgres(database)
    try {
      return await work(client)
    } finally {
      client.close()
    }
  }
  const lock = lockFolder(dataFolder)
  if (!lock && alone !== undefined) throw new UsageError(alone)
  try {
    if (lock && checkLog(dataFolder).state !== 'sound') throw new DatabaseError('damaged-log', dataFolder)
    const client = openDatabase(dataFolder)
    try {
      return await work(client)
    } finally {
      client.close()
    }
  } finally {
    lock?.release()
  }
}
