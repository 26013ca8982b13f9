import type { Json } from '../core/json'

/** [S13] One line of the audit trail as `GET /api/history` tells it. */
export interface HistoryEntry {
  seq: number
  room: string
  /** ms since the epoch, by the server's clock. */
  at: number
  /** `server` for the server's own edits. */
  personId: string
  /** For managers alone; left out for everybody else. */
  deviceId?: string
  collection: string
  recordId: string
  field: string
  before: Json | null
  after: Json | null
  /** Refused attempts are told to managers alone. */
  outcome: 'accepted' | 'overwritten' | 'refused'
}

/** Newest first; ask again with `beforeSeq=nextBeforeSeq` for older ones, until it is null. */
export interface HistoryResponse {
  entries: HistoryEntry[]
  nextBeforeSeq: number | null
}
