import { z } from 'zod'
import type { Json } from '../core/json'
import type { ArchiveScope } from './manifest'

/** Bytes of an archive that one request carries. */
export const PIECE_BYTES = 2 * 1024 * 1024

/** What becomes of values that this board and the archive both changed. */
export const CONFLICT_CHOICES = ['here', 'archive'] as const
export type ConflictChoice = (typeof CONFLICT_CHOICES)[number]

/** One value of which board and archive say different things. */
export interface Difference {
  /** `later`: the archive's replaced this board's. `conflict`: both were changed apart from each other. */
  kind: 'later' | 'conflict'
  collection: string
  recordId: string
  /** What the record is called, and the field. */
  name: string
  field: string
  here: Json
  archive: Json
}

/** What bringing in one room would do. */
export interface RoomPlan {
  room: string
  /** The meeting's name; `Kit`. */
  name: string
  /** The board has nothing of it. */
  isNew: boolean
  /** By collection: records that are new here, and how many values differ. */
  collections: { collection: string; label: string; added: number; later: number; conflicts: number }[]
  /** Values that are new in records that are here already. */
  filled: number
  /** Values that the board has later than the archive: they stay. */
  older: number
  same: number
  /** The first of those that differ. */
  differences: Difference[]
}

/** What bringing in an archive would do. Nothing is changed yet. */
export interface ArchivePlan {
  createdAt: string
  scope: ArchiveScope
  rooms: RoomPlan[]
  photos: { added: number; same: number }
  /** Lines of history. */
  history: number
  notes: string[]
  /** Names this very plan: another one is not carried out unseen. */
  digest: string
}

/** What was done. */
export interface ArchiveTaken {
  values: number
  photos: number
  history: number
  /** Values that somebody changed here while it was brought in: they stay. */
  left: number
}

export const importRequest = z.strictObject({ bytes: z.int().min(1), name: z.string().max(255) })
export const takeRequest = z.strictObject({ conflicts: z.enum(CONFLICT_CHOICES), digest: z.string().max(64) })

export interface ImportStarted {
  id: string
}
