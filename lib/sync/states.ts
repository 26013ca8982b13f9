import type { Role } from '../core/role'
import type { Json } from '../core/json'

/**
 * [S21] Counts changes of what the two ends say to each other that an older page would not understand. Frames that a page may ignore don't
 * count.
 */
export const PROTOCOL_VERSION = 1

/** [S21] [S23] What the server serves: a page compares it with what it holds and with what it was built for. */
export interface BoardVersion {
  /** Which life of the board; every restore begins another. */
  generation: string
  protocol: number
  /** Of the collections (`schemaVersion` of the board). */
  schema: string
  /** The name of the screens' build; empty where it has none (development, no screens). Servers of before do not tell it. */
  build?: string
}

/**
 * Why an edit was refused. `too-large` to `read-only` and `generation` (the phone holds another life of the board) concern a whole update,
 * `policy` and `schema` one field. `lost` is the phone's own: it was saved, and a restored board does not have it.
 */
export interface Rejection {
  kind:
    | 'too-large'
    | 'malformed'
    | 'gap'
    | 'authorship'
    | 'generation'
    | 'anew'
    | 'read-only'
    | 'policy'
    | 'schema'
    | 'lost'
  /** `collection/recordId/field` the edit aimed at; null when the whole update was refused. */
  path: { collection: string; recordId: string; field: string } | null
  attempted: Json | null
  /** What the board holds again; null when the field is empty. */
  restored: Json | null
  /** For people: what is wrong and who may do it. */
  reason: string
  at: number
}

export type RoomState = { state: 'writable' } | { state: 'read-only'; reason: string }

export type SessionState =
  | {
      state: 'active'
      personId: string
      name: string
      role: Role
      deviceId: string
      /** Always there from a server; not kept with the session on a device. */
      board?: BoardVersion
    }
  | { state: 'revoked'; reason: string }
