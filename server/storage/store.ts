import type { Json } from '@/lib/core/json'

/** One line of the audit trail: who changed which field of which record, from what to what. */
export interface AuditEntry {
  room: string
  /** ms since the epoch, by the server's clock. */
  at: number
  /** `server` for the server's own edits. */
  personId: string
  deviceId: string
  collection: string
  recordId: string
  field: string
  before: Json | null
  after: Json | null
  /**
   * `accepted`: the board took it. `overwritten`: valid, but another edit to the same field won the merge.
   * `refused`: broke the policy or the schema and was snapped back.
   */
  outcome: 'accepted' | 'overwritten' | 'refused'
}

export interface StoredAuditEntry extends AuditEntry {
  seq: number
}

/** What the history says of an edit by the server, where that is more than its own lines. */
export interface ToldEdit {
  /** Each line that the edit would leave, as it is to be written; null: the edit's line is among the others. */
  own(entry: AuditEntry): AuditEntry | null
  /** Lines of what happened elsewhere, oldest first. They stand before the edit's own. */
  besides: readonly AuditEntry[]
}

/** Everything one event-loop turn wants on disk; it is written whole or not at all. */
export interface CommitBatch {
  /** Yjs updates in v1 encoding, in the order they were accepted. */
  updates: { room: string; update: Uint8Array; at: number }[]
  /** First use of a Yjs clientID in a room, and whose it is from now on. */
  authors: { room: string; clientId: number; personId: string }[]
  audit: AuditEntry[]
  /** Rows of other tables that must stand or fall with the rest. They throw for a database that fails and for nothing else. */
  alongside?: (() => void)[]
}

export const emptyBatch = (): Required<CommitBatch> => ({
  updates: [],
  authors: [],
  audit: [],
  alongside: [],
})

export interface LoadedRoom {
  /** Latest snapshot (v2 encoding), or null. */
  snapshot: Uint8Array | null
  /** Updates (v1 encoding) after the snapshot, oldest first. */
  updates: Uint8Array[]
  /** clientID → personId. */
  authors: Map<number, string>
}

export interface HistoryQuery {
  room: string
  collection?: string
  recordId?: string
  field?: string
  /** Only entries with a smaller seq (paging backwards). */
  beforeSeq?: number
  /** Only entries of this seq and later: what no index leads to is read row by row. */
  fromSeq?: number
  /** False leaves refused attempts out. */
  refused?: boolean
  /** 1..500 */
  limit: number
}

/**
 * Where boards are kept. All calls are synchronous and durable when they return; they throw on any failure to write. [P1] Where several processes
 * share one database, loading a room makes this one its owner, and a write by a former owner fails whole.
 */
/** A commit on its way: nothing of it may be shown or acknowledged. */
export interface CommitUnderWay {
  /** Its outcome; waits for it. @throws as `commit` does, each time it is asked */
  land(): void
  /** `hear` is called once, in a turn of its own, when the outcome is there. */
  whenDone(hear: () => void): void
}

export interface Store {
  /** [S23] Which life of the board this is; every restore begins another. */
  readonly generation: string
  /** [S26] @throws when what is written now would not be found by the next start. Cheap enough to ask before every acknowledgement. */
  check(): void
  load(room: string): LoadedRoom
  commit(batch: CommitBatch): void
  /**
   * [P4] Begin a commit without waiting for it; null: it is written. Any other call that needs its outcome waits for it. Absent where a commit
   * never takes longer than the disk. @throws as `commit` does
   */
  begin?(batch: CommitBatch): CommitUnderWay | null
  /** Replace the room's snapshot and drop the updates it covers. `updatesCovered` is how many of `load().updates` it includes. */
  compact(room: string, snapshotV2: Uint8Array, updatesCovered: number): void
  /** How many updates are stored after the last snapshot. */
  pendingUpdates(room: string): number
  rooms(): string[]
  /** The seq of the newest entry; 0 when there is none. */
  lastSeq(): number
  /** Newest first. */
  history(query: HistoryQuery): StoredAuditEntry[]
  /** [P1] The room is no longer in use here: another process may take it at once. */
  release(room: string): void
  /**
   * Rooms of which more is stored than their caller was told: a write failed because its answer was lost, and was found to have taken place.
   * They must be loaded again before the next write. Each is named once.
   */
  takeFound(): readonly string[]
  close(): void
}
