import { ok, refuse, type Result } from '../core/result'
import type { Role } from '../core/role'

/** An open door for one role. Its code is known only to whoever made it and whoever was given it. */
export interface Invitation {
  id: string
  role: Role
  /** A name to offer at joining. */
  name: string | null
  singleUse: boolean
  createdBy: string
  createdAt: number
  expiresAt: number
  uses: number
  revokedAt: number | null
}

export type InvitationState = 'open' | 'used' | 'expired' | 'revoked'

export const MIN_HOURS = 1 / 60
export const DEFAULT_HOURS = 12
/** A month: longer than any meeting, shorter than a season. */
export const MAX_HOURS = 31 * 24

export function invitationState(i: Invitation, now: number): InvitationState {
  if (i.revokedAt !== null) return 'revoked'
  if (i.singleUse && i.uses > 0) return 'used'
  return now >= i.expiresAt ? 'expired' : 'open'
}

const CLOSED: Record<Exclude<InvitationState, 'open'>, string> = {
  used: 'it was for one phone only and has been used',
  expired: 'it has expired',
  revoked: 'it was canceled',
}

/** May somebody still join with it? */
export function checkInvitation(i: Invitation, now: number): Result<void> {
  const state = invitationState(i, now)
  return state === 'open'
    ? ok(undefined)
    : refuse('Invitation', '', CLOSED[state], 'Ask a manager for a new one.')
}
