import { existsSync, mkdirSync, rmSync, writeFileSync } from 'node:fs'
import { hostname } from 'node:os'
import { join } from 'node:path'
import { DatabaseError } from '@/drizzle/database-error'
import { renewGeneration } from '@/drizzle/generation'
import { openPostgresAside } from '@/drizzle/postgres/client'
import type { Disposer } from '../join/live-session'
import type { Timers } from '../sync/timers'
import type { BoardClient } from './board-client'
import type { BoardSource } from './board-source'
import { DATABASE_FILE } from './database-file'
import { openBoard } from './open-board'
import { KIT, LEASE_MS } from './postgres-statements'
import { PostgresStore } from './postgres-store'
import { SqliteStore } from './sqlite-store'
import type { Store } from './store'
import { tendLog } from './write-ahead-log'

/**
 * How long a write to SQLite waits for another program's lock, and everybody with it, ms. An admin command needs a few; whoever keeps it longer
 * makes the board read-only until the lock is free.
 */
const BUSY_MS = 100
const LOOK_AGAIN_MS = 250

export interface OpenedStore {
  client: BoardClient
  store: Store
  /** What was found and done, in words. */
  told: string[]
  source: BoardSource
  /** Ends what looks after the database; it stays open. */
  stopTending: Disposer
  /** [P1] Whether this process judges the board still; absent where no other one can. */
  holds?: () => boolean
}

export interface OpenStoreParts {
  dataFolder: string
  database: string | null
  now: number
  /** See `OpenOptions`. */
  isKnown?: boolean
  timers: Pick<Timers, 'every'>
  warn: (e: unknown) => void
  /** [P1] This process may write no more, and must end: another one has taken a room over, or the database is not as it was left. */
  onOver: (e: DatabaseError) => void
}

/** The board's database for a server: SQLite in the data folder, or PostgreSQL where an address is given. @throws DatabaseError */
export const openStore = (parts: OpenStoreParts): Promise<OpenedStore> | OpenedStore =>
  parts.database === null ? onSqlite(parts) : onPostgres(parts, parts.database)

function onSqlite({ dataFolder, now, isKnown = false, timers, warn }: OpenStoreParts): OpenedStore {
  const { client, told } = openBoard(dataFolder, now, { busyMs: BUSY_MS, isKnown })
  return {
    client,
    store: new SqliteStore(client),
    told,
    source: { file: join(dataFolder, DATABASE_FILE) },
    stopTending: tendLog({ client, dataFolder, every: timers.every, warn }),
  }
}

/** In the data folder: this board found its database in an older state than it had left it in, and ended. */
const WENT_BACK = 'database-went-back'

/** Whoever opens this board next begins another generation: the database that it is in is in an older state. */
export function noteWentBack(dataFolder: string, e: DatabaseError): void {
  mkdirSync(dataFolder, { recursive: true, mode: 0o700 })
  writeFileSync(join(dataFolder, WENT_BACK), `${e.message}\n`)
}

async function onPostgres(
  { dataFolder, timers, onOver: tell }: OpenStoreParts,
  url: string,
): Promise<OpenedStore> {
  const mark = join(dataFolder, WENT_BACK)
  const onOver = (e: DatabaseError) => {
    try {
      if (e.trouble === 'went-back') noteWentBack(dataFolder, e)
    } finally {
      tell(e)
    }
  }
  const client = await openPostgresAside(url, { onOver })
  const onTaken = (room: string) => onOver(new DatabaseError('taken-over', `${room}, this one stops`))
  try {
    const store = new PostgresStore(client, `${hostname()}, process ${process.pid}`, onTaken)
    await takeBoard(store)
    const told = existsSync(mark) ? [beginAnew(client, mark)] : []
    return {
      client,
      store,
      told,
      source: { url },
      stopTending: timers.every(LEASE_MS / 3, () => store.renew()),
    }
  } catch (e) {
    client.close()
    throw e
  }
}

/** [S23] Phones have heard of later edits than it holds, and bring back their own. */
function beginAnew(client: BoardClient, mark: string): string {
  client.transact(() => renewGeneration(client))
  rmSync(mark)
  return 'The database had gone back to an older state. Phones that join now send again what they hold of their own.'
}

/** Whoever has the kit serves the board. A board that was killed holds it until its lease runs out. */
async function takeBoard(store: PostgresStore): Promise<void> {
  for (let waited = 0; ; waited += LOOK_AGAIN_MS)
    try {
      store.load(KIT)
      return
    } catch (e) {
      const isHeld = e instanceof DatabaseError && e.trouble === 'taken-over'
      if (!isHeld || waited > LEASE_MS + 1_000) throw e
      await new Promise((resolve) => setTimeout(resolve, LOOK_AGAIN_MS))
    }
}
