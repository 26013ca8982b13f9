import type { BoardVersion, Rejection, RoomState, SessionState } from '@/lib/sync/states'
import type { ClientStore, RoomContent } from './client-store'
import type { RoomClient } from './room-client'
import type { ProviderFactory } from './room-provider'
import type { ServerClock } from './server-clock'

export type Connection = 'offline' | 'connecting' | 'live'

export interface RoomSnapshot {
  room: string
  connection: Connection
  /** The server's state has arrived at least once, now or in an earlier visit: what is on screen is a board and not an empty page. */
  hasContent: boolean
  /** Fields only on this phone. */
  pending: number
  roomState: RoomState
  /** The server said last that it knows no such meeting. */
  isUnknown: boolean
}

export interface RoomClientOptions {
  room: string
  store: ClientStore
  clock: ServerClock
  createProvider: ProviderFactory
  onRejection: (rejection: Rejection) => void
  onSession: (session: SessionState) => void
  /** What the server says that it serves. */
  onVersion: (version: BoardVersion) => void
  /**
   * [S23] What this client holds can't go on: the server has another life of the board or takes this phone's edits for somebody else's, or
   * (`elsewhere`) another tab has begun anew already.
   */
  onUnfit: (room: RoomClient, why: 'server' | 'elsewhere') => void
  /** What the room begins with, instead of what the device's store holds. */
  seed?: RoomContent
  /** The socket could not be opened: perhaps the session is no longer known. */
  onConnectionError: () => void
}
