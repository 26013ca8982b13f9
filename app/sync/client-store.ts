import type { Rejection, SessionState } from '@/lib/sync/states'
import type { Life } from './life'
import type { Touch } from './pending-keys'

/** [S16] How the device's own store is doing, in a form that the screen can say. */
export type StoreSignal =
  | { state: 'opening' }
  /** Everything up to now is on this device's disk. */
  | { state: 'stored' }
  | { state: 'storing' }
  /** The device has no room left; edits are in memory only until it has. */
  | { state: 'full' }
  | { state: 'failed'; reason: string }
  /** The browser has no store, or forbids it (private windows do). */
  | { state: 'missing'; reason: string }

export interface StoredUpdate {
  id: number
  room: string
  /** Yjs update encoding, 1 or 2. */
  encoding: 1 | 2
  update: Uint8Array
  /** Holds edits made on this device. */
  local: boolean
}

export interface RoomContent {
  updates: StoredUpdate[]
  pending: Touch[]
  /** Null: not known, or nothing is stored. */
  life: Life | null
  /** clientIDs that this device has written under in this life. */
  own: number[]
}

/** That something of a room is stored. Rows are only ever added, each under a number of its own: equal `rows` and `last`, equal content. */
export interface StoredRoomName {
  room: string
  life: Life | null
  rows: number
  /** The number of the newest. */
  last: number
}

/** What takes the place of a room's content when it begins another life. */
export interface MovedRoom {
  /** Yjs update, encoding 2; null for nothing. */
  update: Uint8Array | null
  pending: Touch[]
  own: number[]
  drafts: Draft[]
}

/** Which copy of the room an update belongs to, and under which clientID this tab writes. */
export interface Copy {
  life: Life | null
  clientId: number
}

/** An attempt that the board did not take, kept so that it can be copied or proposed. */
export interface Draft {
  id: string
  room: string
  rejection: Rejection
  /** The attempt in words, from when it was made: later the board may not know what it was about. */
  words?: string
  /** [S23] Of a meeting that the restored board does not have: what it can be made again from. */
  meeting?: LostMeeting
}

export interface LostMeeting {
  name?: string
  startsAt?: number
  zone?: string
  trackId?: string
}

export type ActiveSession = Extract<SessionState, { state: 'active' }>

/** What a device keeps. Nothing here throws: trouble is told by `signal`. */
export interface ClientStore {
  readonly signal: StoreSignal
  onSignal(listener: () => void): () => void
  /** [S19] Told when a store that was lost is open again: it may hold nothing of what was there. */
  onReopened(listener: () => void): () => void
  /** [S20] The page is being left, perhaps for good: what is not written yet is put where no promise is needed for it. */
  leave(): void
  /** Everything stored of a room after the update with this id (0 = all), and all its unacknowledged touches, from one moment. */
  read(room: string, afterId: number): Promise<RoomContent>
  /** An update and the touches it made, in one transaction. Dropped when what is stored of the room has another life by now. */
  append(room: string, update: Uint8Array, touches: readonly Touch[], copy?: Copy): void
  /** What is stored of a room is of this life; only for a room of which that is not known. */
  setLife(room: string, life: Life): void
  /**
   * [S23] Put what `plan` makes of everything stored of a room in its place and add the drafts, in one transaction; nothing when the room is
   * no longer of the life `from`, because another tab was first. Resolves when it was written (true) or could not be (false; then it is tried
   * again).
   *
   * @param life null when nothing of the room is to stay
   */
  move(
    room: string,
    from: Life | null,
    life: Life | null,
    plan: (stored: RoomContent) => MovedRoom,
  ): Promise<boolean>
  /** Touches are acknowledged; newer touches of the same fields stay. */
  settle(room: string, touches: readonly Touch[]): void
  compact(room: string): void
  /** Told when another tab of this device wrote to the room. */
  onRing(room: string, listener: () => void): () => void

  session(): Promise<ActiveSession | null>
  setSession(session: ActiveSession | null): void

  drafts(): Promise<Draft[]>
  addDraft(draft: Draft): void
  removeDraft(id: string): void

  /** Every room of which something is stored, those set aside too. */
  rooms(): Promise<StoredRoomName[]>
  /** Unacknowledged touches by room, without those set aside. */
  allPending(): Promise<{ room: string; key: string }[]>
  /**
   * What is stored belongs to another membership: every room gets a name (`aside-room.ts`) that nobody opens, in one transaction. Drafts stay.
   */
  setAside(member: { deviceId: string; name: string }): Promise<void>
  /** Resolves when everything handed over so far was written or has failed. */
  settled(): Promise<void>
  close(): void
}
