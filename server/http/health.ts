import { statfsSync } from 'node:fs'
import type { Client } from '@/drizzle/client'
import { asDatabaseError, DatabaseError } from '@/drizzle/database-error'

/** Below this much free space a commit may soon fail. */
const LOW_SPACE_BYTES = 20 * 1024 * 1024

const LOST = 'Saved edits were lost: a manager’s screen and npm run admin -- notices say which.'

export interface Health {
  status: 'ok' | 'trouble'
  version: string
  uptimeS: number
  rooms: number
  sockets: number
  database: { writable: boolean; reason: string | null }
  /** That there is something people must know about the board, until it was read. Whose edits is for managers: anybody may ask here. */
  notices: string[]
}

interface Parts {
  uptimeS: number
  /** Saved edits were lost, and nobody has read it yet. */
  hasNotice: boolean
  version: string
  stats: { rooms: number; sockets: number }
  /** Why nothing can be stored. */
  reason: string | null
}

/** How the server is doing, for `/healthz`. */
export function readHealth({ uptimeS, hasNotice, version, stats, reason }: Parts): Health {
  const notices = hasNotice ? [LOST] : []
  return {
    status: reason === null && notices.length === 0 ? 'ok' : 'trouble',
    version,
    uptimeS: Math.round(uptimeS),
    rooms: stats.rooms,
    sockets: stats.sockets,
    database: { writable: reason === null, reason },
    notices,
  }
}

export function whyNotWritable(client: Client, dataFolder: string): string | null {
  try {
    // Takes the write lock and gives it back: fails on a read-only file and on one that another program keeps locked.
    client.transact(() => undefined)
    const { bavail, bsize } = statfsSync(dataFolder)
    return bavail * bsize < LOW_SPACE_BYTES
      ? new DatabaseError('disk-full', 'little space left').reason
      : null
  } catch (e) {
    const known = asDatabaseError(e)
    return known instanceof DatabaseError ? known.reason : String(e)
  }
}
