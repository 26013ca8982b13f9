import type { Client } from '@/drizzle/client'
import { DatabaseError } from '@/drizzle/database-error'
import { checkLog } from '../storage/check-log'
import { lockFolder } from '../storage/folder-lock'
import { openDatabase } from '../storage/open-database'
import type { AdminContext } from './admin-context'

/**
 * Work on the database beside a running server, or alone. Alone, a damaged log is left to the next start, which says what became of it:
 * opening and closing the database here would fold what is left of it and take the rest away.
 * @throws DatabaseError
 */
export async function withDatabase<T>(
  { settings }: AdminContext,
  work: (client: Client) => T | Promise<T>,
): Promise<T> {
  const { dataFolder } = settings
  const lock = lockFolder(dataFolder)
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
