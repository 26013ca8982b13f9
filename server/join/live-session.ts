import type { Role } from '@/lib/core/role'

/** A joined device, as it stands now. */
export interface LiveSession {
  sessionId: string
  personId: string
  name: string
  role: Role
  deviceId: string
  /** The invitation it came in by; absent where that is not known. */
  invitationId?: string | null
}

/** `session: null` means that it has ended: revoked, left or expired. */
export interface SessionChange {
  sessionId: string
  session: LiveSession | null
}

export type Disposer = () => void

/** What the rest of the server needs to know about who is who. */
export interface Sessions {
  findByCookie(cookieHeader: string | undefined): LiveSession | null
  /** Called for changes of name or role and for the end of a session, whoever caused it (other processes included). */
  onChange(listener: (event: SessionChange) => void): Disposer
  /** The device was heard of just now. */
  touch(sessionId: string): void
}
