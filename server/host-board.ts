import type { Logger } from 'pino'
import type { DatabaseError } from '@/drizzle/database-error'
import { forgetGenerations } from '@/drizzle/postgres/forget-generations'
import type { Settings } from './env'
import type { ListenerParts } from './http/request-listener'
import type { UpgradeHandler } from './http/upgrade-listener'
import { amongPeers } from './peers/among-peers'
import type { ServedBoard } from './serve-board'
import { readNotice } from './storage/notices'
import { openStore, type OpenedStore } from './storage/open-store'
import type { SyncStats } from './sync/sync-surface'
import type { Timers } from './sync/timers'

/** What the server's listeners need of a board, wherever it is served. */
export interface BoardHost {
  api: ListenerParts['api']
  upgrade: UpgradeHandler
  /** Null while another process serves it. */
  board: () => ServedBoard | null
  /** Of the boards that this process serves, together; null while it serves none. */
  stats: () => SyncStats | null
  /** Saved edits were lost, and nobody has read it yet. */
  hasNotice: () => boolean
  /** Why nothing can be done for a phone here; null when it can. */
  whyNotReady(): string | null
  /** Store what has arrived and tell every socket to come back. */
  closeSockets(): Promise<void>
  /** The same, and give the store back. Safe to call twice. */
  close(): Promise<void>
}

interface HostParts {
  settings: Settings
  now: number
  timers: Timers
  log: Logger
  secure: boolean
  onOver: (e: DatabaseError) => void
  serve: (opened: OpenedStore) => Promise<ServedBoard>
}

/** The board of this process alone, or with several processes the board of whichever judges it. @throws DatabaseError */
export async function hostBoard(parts: HostParts): Promise<BoardHost> {
  const { database, peer, dataFolder } = parts.settings
  if (database === null || peer === null) return alone(parts)
  const forget = () => forgetGenerations(database)
  const { led, ...host } = await amongPeers({ ...parts, url: database, peer, forgetGenerations: forget })
  return { ...host, board: led, hasNotice: () => readNotice(dataFolder) !== null }
}

async function alone({ settings, now, timers, log, onOver, serve }: HostParts): Promise<BoardHost> {
  const warn = (e: unknown) => log.warn({ err: e }, 'the write-ahead log could not be looked after')
  const board = await serve(await openStore({ ...settings, now, timers, warn, onOver }))
  return {
    api: board.api,
    upgrade: board.upgrade,
    board: () => board,
    stats: () => board.stats(),
    hasNotice: () => readNotice(settings.dataFolder) !== null,
    whyNotReady: () => board.whyNotWritable(),
    closeSockets: () => board.closeSockets(),
    close: () => board.close(),
  }
}
