import {
  checkField,
  collectionNames,
  hasGrant,
  isMeeting,
  mayWrite,
  parseKey,
  type DocKind,
} from '@/lib/board'
import type { BoardReader, FieldChange, PolicyContext, ServerFacts } from '@/lib/board'
import { runDigestOnBoard } from '@/lib/card/staging/run-digest-on-board'
import type { Role } from '@/lib/core/role'
import type { Json } from '@/lib/core/json'
import type { Result } from '@/lib/core/result'
import { sameName } from '@/lib/join/person-name'

export type { BoardReader, DocKind, FieldChange, PolicyContext, ServerFacts } from '@/lib/board'

/** What the guard must know about the board. Tests bring small rules of their own. */
export interface GuardRules {
  collections(doc: DocKind): readonly string[]
  /** The parts of a flat key, or null when it is none. */
  parseKey(key: string): { recordId: string; field: string } | null
  /** [S5] */
  checkField(doc: DocKind, collection: string, field: string, value: unknown): Result<void>
  /** [S4] */
  mayWrite(ctx: PolicyContext, change: FieldChange): Result<void>
  /** [S24] Whether a role may ever write this field, of whatever record. Rules without it judge each write alone. */
  hasGrant?(role: Role, doc: DocKind, collection: string, field: string): boolean
  /** [S24] Whether the kit knows this meeting, removed or not. Rules without it let any meeting's room be opened. */
  isMeeting?(read: BoardReader, meetingId: string): boolean
  facts?: ServerFacts
  /** [S4] The field whose value says on what board it rests. Rules without it judge each update when it comes. */
  early?: {
    doc: DocKind
    collection: string
    field: string
    /** Whether a value may be one of that field; asked of every value that comes. */
    isOne(value: unknown): boolean
    /** Whether that is another board than `read`. */
    isEarly(read: BoardReader, recordId: string, after: Json): boolean
  }
}

export const boardRules: GuardRules = {
  collections: collectionNames,
  parseKey,
  checkField,
  mayWrite,
  hasGrant,
  isMeeting,
  facts: { runDigest: runDigestOnBoard, sameName },
  early: {
    doc: 'meeting',
    collection: 'runs',
    field: 'accepted',
    isOne: (value) => coveredBy(value) !== null,
    isEarly: (read, runId, after) => {
      const covers = coveredBy(after)
      return covers !== null && covers !== runDigestOnBoard(read, runId)
    },
  },
}

const coveredBy = (value: unknown): string | null =>
  typeof value === 'object' && value !== null && 'covers' in value && typeof value.covers === 'string'
    ? value.covers
    : null
