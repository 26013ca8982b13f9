import type { Role } from '../core/role'
import type { Json } from '../core/json'

/** Why an edit was not taken. `frame` kinds concern a whole update, the others one field. */
export interface Rejection {
  kind: 'too-large' | 'malformed' | 'gap' | 'authorship' | 'policy' | 'schema' | 'read-only'
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
  | { state: 'active'; personId: string; name: string; role: Role; deviceId: string }
  | { state: 'revoked'; reason: string }
