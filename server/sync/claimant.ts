import type { Presence } from './presence'
import type { SyncSocket } from './sync-socket'

/** Which unknown clientIDs the sender of an update may write under from now on. */
export interface Claims {
  /** Null when all of them may be its own; else why not. */
  refuse(unknown: readonly number[]): { kind: 'authorship' | 'generation'; reason: string } | null
}

export const ANY_CLAIM: Claims = { refuse: () => null }

const OTHER = {
  kind: 'generation',
  reason: 'This phone has the board from before it was restored. Reload the page.',
} as const
const NOT_ITS_OWN = {
  kind: 'authorship',
  reason: 'This phone sent edits that the board does not know. Reload the page.',
} as const

/**
 * [S23] What a phone re-sends is its own only if everything else that it holds came from this very board: then the board knows it already,
 * and what it does not know was made on that phone (by any of its tabs and visits). A phone that does not say so is believed one clientID
 * per socket: the one it is present with, as the stock provider is, or else the first it uses.
 */
export class Claimant implements Claims {
  constructor(
    readonly socket: SyncSocket,
    readonly presence: Pick<Presence, 'clientOf' | 'isHeldByOther'>,
  ) {}

  refuse(unknown: readonly number[]): ReturnType<Claims['refuse']> {
    const { socket, presence } = this
    if (socket.generation === 'other') return OTHER
    const [first] = unknown
    if (first === undefined) return null
    // Somebody else is here under that name, who has written nothing yet.
    if (unknown.some((client) => presence.isHeldByOther(client, socket))) return NOT_ITS_OWN
    if (socket.generation === 'present') return null
    const own = socket.ownClient ?? presence.clientOf(socket) ?? first
    if (unknown.length > 1 || first !== own) return NOT_ITS_OWN
    socket.ownClient = own
    return null
  }
}
