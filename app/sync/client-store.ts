import type { Rejection, SessionState } from '@/lib/sync/states'
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
}

/** An attempt that the board did not take, kept so that it can be copied or proposed. */
export interface Draft {
  id: string
  room: string
  rejection: Rejection
}

export type ActiveSession = Extract<SessionState, { state: 'active' }>

/** What a device keeps. Nothing here throws: trouble is told by `signal`. */
export interface ClientStore {
  readonly signal: StoreSignal
  onSignal(listener: () => void): () => void
  /** Everything stored of a room after the update with this id (0 = all), and all its unacknowledged touches, from one moment. */
  read(room: string, afterId: number): Promise<RoomContent>
  /** An update and the touches it made, in one transaction. */
  append(room: string, update: Uint8Array, touches: readonly Touch[]): void
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

  /** Unacknowledged touches by room. */
  allPending(): Promise<{ room: string; key: string }[]>
  /** Drop documents and touches, drafts stay: what is cached here belongs to another membership. */
  forget(): Promise<void>
  /** Resolves when everything handed over so far was written or has failed. */
  settled(): Promise<void>
  close(): void
}
