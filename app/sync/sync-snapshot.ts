import type { ActiveSession, Draft, StoreSignal } from './client-store'
import type { RoomSnapshot } from './room-options'

/** Who the server takes this device for. */
export type SessionAnswer =
  | { reached: true; session: Omit<ActiveSession, 'state'> | null }
  /** The server can't be reached. */
  | { reached: false }

export type Membership =
  | { state: 'starting' }
  /** Joined; the board is open, with or without network. */
  | { state: 'member'; session: ActiveSession }
  /** Nobody yet: this device has no session. */
  | { state: 'stranger' }
  /** Was a member and is no longer. What had not been sent stays here as text. */
  | { state: 'revoked'; reason: string; unsent: string[] }
  /** Never joined on this device, and the server can't be reached to find out. */
  | { state: 'unreachable' }

export interface SyncSnapshot {
  membership: Membership
  kit: RoomSnapshot | null
  meeting: RoomSnapshot | null
  meetingId: string | null
  /** [S23] Which life of the board this device's kit is of; null until it has one. */
  generation: string | null
  store: StoreSignal
  drafts: readonly Draft[]
  /** Fields only on this phone, over all documents, also those that no screen shows. */
  pending: number
  online: boolean
  /** The server answers, but what the page is about has not come from it yet: nothing can be said about what is saved. */
  fetching: boolean
  /** [S21] Set where the server serves another version of the board than this page is; a reload brings the right one. */
  outdated: Outdated | null
}

export interface Outdated {
  /** What the server serves: protocol, collections, build. */
  board: string
  /** Whether the two understand each other: only the build is another. */
  understands: boolean
}

/** Why the server takes no edits right now, in words; null when it does, and when it can't be heard. */
export function whyNotSaving({ kit, meeting }: Pick<SyncSnapshot, 'kit' | 'meeting'>): string | null {
  for (const room of [meeting, kit])
    if (room?.connection === 'live' && room.roomState.state === 'read-only') return room.roomState.reason
  return null
}
