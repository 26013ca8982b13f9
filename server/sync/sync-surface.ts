import type { IncomingMessage } from 'node:http'
import type { Duplex } from 'node:stream'
import type * as Y from 'yjs'
import type { Clock } from '@/lib/core/clock'
import type { LiveSession, Sessions } from '../join/live-session'
import type { Store, ToldEdit } from '../storage/store'
import type { Budgets } from './budgets'
import type { GuardRules } from './guard-rules'
import type { Limits } from './limits'
import type { EditCounts } from './edit-counts'
import type { SyncLog } from './sync-log'
import type { WebSocketLike } from './sync-socket'
import type { Timers } from './timers'

export interface SyncServerParts {
  store: Store
  sessions: Sessions
  clock: Clock
  log: SyncLog
  limits?: Partial<Limits>
  rules?: GuardRules
  timers?: Timers
  /** [S21] The name of the screens' build, told to every page. */
  build?: string
  /** What people have used of the server's time, shared with whatever else they can ask of it. */
  budgets?: Budgets
  /** [P1] False once another process may judge the board: then nothing is taken in or shown any more, and every socket ends. */
  mayShow?: () => boolean
  /** Told of each commit how long it took, ms, failed ones too. */
  onCommit?: (ms: number) => void
}

export interface SyncStats {
  rooms: number
  sockets: number
  /** Why nothing can be written; null when all is well. */
  readOnly: string | null
  turns: number
  failedCommits: number
  edits: Omit<EditCounts, 'framesRefused'>
  framesRefused: number
}

export interface SyncServer {
  /** For paths `/sync/<room>`. */
  handleUpgrade(req: IncomingMessage, socket: Duplex, head: Buffer): void
  /**
   * Stored, sent to everybody and audited as `server` before it resolves. Rejects when it does not fit the schema, and with `NotStored`.
   * `alongside` writes rows of other tables in the same transaction: they and the edit stand or fall together. `told` is what the history says
   * of it instead.
   */
  editAsServer(
    room: string,
    edit: (doc: Y.Doc) => void,
    alongside?: () => void,
    told?: ToldEdit,
  ): Promise<void>
  /** Read a room's document as it is on disk. `read` must not change it. */
  readRoom<T>(room: string, read: (doc: Y.Doc) => T): Promise<T>
  stats(): SyncStats
  close(): Promise<void>
}

/** What tests use beside the server's own surface: sockets without a network. */
export interface SyncCore extends SyncServer {
  /** Seat a websocket of a known session in a room. Returns what takes in its messages and its end, or null when it was turned away. */
  connect(
    ws: WebSocketLike,
    session: LiveSession,
    room: string,
    address?: string,
  ): { message: (data: Uint8Array) => void; pong: () => void; closed: () => void } | null
}
