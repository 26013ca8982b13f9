import { z } from 'zod'
import type { Refusal } from '../core/result'
import { ROLES, type Role } from '../core/role'
import { DEFAULT_HOURS, MAX_HOURS, MIN_HOURS, type InvitationState } from './invitation'

/** What the browser sends and gets on `/api/join`, `/api/session` and `/api/crew`: imported by both ends. */

const roleSchema = z.enum(ROLES)
const codeSchema = z.string().max(64)
const nameSchema = z.string().max(200)

/** Every route answers a refusal with this and a 4xx or 5xx status. */
export interface RefusedResponse {
  error: Refusal
}

export const previewRequest = z.strictObject({ code: codeSchema })
export interface PreviewResponse {
  role: Role
  /** A name to offer, from the invitation. */
  name: string | null
  /** Whom the joiner may say they are. `joined`: that person already has a device here. */
  people: { id: string; name: string; joined: boolean }[]
  singleUse: boolean
  expiresAt: number
}

export const joinRequest = z.strictObject({
  code: codeSchema,
  name: nameSchema.optional(),
  personId: z.string().max(160).optional(),
})
export type JoinRequest = z.infer<typeof joinRequest>

export interface SessionInfo {
  personId: string
  name: string
  role: Role
  deviceId: string
}
export interface SessionResponse {
  session: SessionInfo | null
  /** ms since the epoch. */
  serverTime: number
}

export const inviteRequest = z.strictObject({
  role: roleSchema,
  name: nameSchema.optional(),
  hours: z.number().min(MIN_HOURS).max(MAX_HOURS).default(DEFAULT_HOURS),
  singleUse: z.boolean().default(false),
})
export type InviteRequest = z.input<typeof inviteRequest>
export interface InvitationInfo {
  id: string
  role: Role
  name: string | null
  singleUse: boolean
  createdBy: string
  createdAt: number
  expiresAt: number
  uses: number
  state: InvitationState
}
/** The only time that the code is told: the server keeps a hash of it. */
export interface InviteResponse {
  invitation: InvitationInfo
  code: string
  /** The path and fragment of the join link; the screen puts the origin that phones reach before it. */
  path: string
  /** Origins that phones on the same network reach, best first. */
  origins: string[]
}
export interface InvitationsResponse {
  invitations: InvitationInfo[]
}

export interface DeviceInfo {
  sessionId: string
  deviceId: string
  device: string
  createdAt: number
  lastSeenAt: number
  /** Has an open socket now. */
  online: boolean
  /** The one that asks. */
  current: boolean
}
export interface CrewMember {
  personId: string
  name: string
  role: Role
  devices: DeviceInfo[]
}
export interface CrewResponse {
  people: CrewMember[]
}

export const addPersonRequest = z.strictObject({ name: nameSchema, role: roleSchema })
export type AddPersonRequest = z.infer<typeof addPersonRequest>
export interface AddPersonResponse {
  personId: string
}
export const changeRoleRequest = z.strictObject({ role: roleSchema })
