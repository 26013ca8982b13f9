import type { Logger } from 'pino'
import { DatabaseError } from '@/drizzle/database-error'
import type { Clock } from '@/lib/core/clock'
import { openPostgresAside } from '@/drizzle/postgres/client'
import type { Settings } from '../env'
import type { ServedBoard } from '../serve-board'
import { awaitLock } from '../storage/await-lock'
import type { FolderLock } from '../storage/folder-lock'
import { readNotice } from '../storage/notices'
import { openStore, type OpenedStore } from '../storage/open-store'
import { makePrivate } from '../storage/private-files'
import { settleFolder } from '../storage/restore'
import { takeBoard } from '../storage/take-board'
import type { Timers } from '../sync/timers'
import type { Kept } from './team-house'
import { TEAM_LIMITS } from './team-limits'
import { settingsOfTeam } from './team-settings'

/** An admin command that has the folder to itself is waited for so long, ms. */
const WAIT_MS = 3_000
const AGAIN_MS = 50

export interface OpenParts {
  settings: Settings
  clock: Clock
  timers: Timers
  log: Logger
}

interface Parts extends OpenParts {
  address: string
  /** Make a board of the store, which is closed with it, also where that fails. */
  serve: (opened: OpenedStore, settings: Settings) => Promise<ServedBoard>
  onOver: (e: DatabaseError) => void
  /** Boards that this process has looked through and closed in good order: looking at every row again would keep all teams waiting. */
  known: Set<string>
}

export interface TeamStore {
  opened: OpenedStore
  settings: Settings
  /** Null where whoever gave the store keeps other processes away. */
  lock: FolderLock | null
}

/** A team's store, and the folder that is this process's until it is released. @throws DatabaseError */
export async function openTeamStore(parts: Omit<Parts, 'serve'>): Promise<TeamStore & { lock: FolderLock }> {
  const { address, clock, timers, onOver, known } = parts
  const settings = settingsOfTeam(parts.settings, address)
  const log = parts.log.child({ team: address })
  const lock = await awaitLock(settings.dataFolder, WAIT_MS, timers)
  if (!lock) throw new DatabaseError('busy', settings.dataFolder)
  try {
    makePrivate(settings.dataFolder)
    for (const line of settleFolder(settings.dataFolder)) log.warn(line)
    const over = (e: DatabaseError) => {
      log.error({ reason: e.message }, 'this process may no longer write')
      onOver(e)
    }
    const opened =
      settings.database !== null && settings.peer !== null
        ? await takeTeam(settings.database, settings.peer.address, timers, over)
        : await openStore({
            ...settings,
            now: clock.now(),
            isKnown: known.delete(address),
            timers,
            warn: (e) => log.warn({ err: e }, 'the write-ahead log could not be looked after'),
            onOver: over,
          })
    if (opened.client.engine === 'sqlite') keepSmall(opened.client.connection)
    return { opened, settings, lock }
  } catch (e) {
    lock.release()
    throw e
  }
}

/**
 * [P1] With several processes: whoever leads takes each team's board too, and writes to it under an epoch of its own. A former leader that was
 * killed or paused has it until its lease runs out. @throws DatabaseError
 */
async function takeTeam(
  url: string,
  address: string,
  timers: Timers,
  onOver: (e: DatabaseError) => void,
): Promise<OpenedStore> {
  const client = await openPostgresAside(url, { onOver })
  try {
    for (const until = timers.steady() + WAIT_MS; ;) {
      const onLost = () => onOver(new DatabaseError('taken-over', 'another process leads now'))
      const opened = takeBoard(client, url, address, timers, null, onLost)
      if (opened) return opened
      if (timers.steady() > until)
        throw new DatabaseError('taken-over', 'another process has it, and does not lead')
      await new Promise<void>((resolve) => void timers.after(AGAIN_MS, resolve))
    }
  } catch (e) {
    client.close()
    throw e
  }
}

/** Open a team's board. @throws DatabaseError, NotStored */
export async function openTeam(parts: Parts): Promise<Kept> {
  const { opened, settings, lock } = await openTeamStore(parts)
  try {
    const board = await parts.serve(opened, settings)
    return {
      board,
      hasNotice: () => readNotice(settings.dataFolder) !== null,
      close: async () => {
        try {
          await board.close()
          parts.known.add(parts.address)
        } finally {
          lock.release()
        }
      },
    }
  } catch (e) {
    lock.release()
    throw e
  }
}

/** One team can't fill the disk of all: SQLite then says that it is full, and the board is read-only. */
function keepSmall(connection: { pragma(text: string, options?: { simple: boolean }): unknown }): void {
  const page = Number(connection.pragma('page_size', { simple: true }))
  connection.pragma(`max_page_count = ${Math.floor(TEAM_LIMITS.boardBytes / page)}`)
}
