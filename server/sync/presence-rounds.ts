import { BroadcastMessage } from './broadcast-message'
import { TokenBucket } from './limits'
import type { Presence } from './presence'
import type { SyncSocket } from './sync-socket'

/** How often a room's presence goes around when it changes all the time, per second, and how often at once after a quiet while. */
const PER_SECOND = 5
const AT_ONCE = 20

export interface PresenceRoundsParts {
  presence: Presence
  sockets: ReadonlySet<SyncSocket>
  steady: () => number
  later: (ms: number, run: () => void) => void
  /** Ask for a turn, at whose end `send` is called. */
  request: () => void
}

/** [S25] Sends around who is here and where, merged when it changes often; what that takes is charged to those who changed. */
export class PresenceRounds {
  readonly #rate: TokenBucket
  #waits = false

  constructor(readonly parts: PresenceRoundsParts) {
    this.#rate = new TokenBucket(PER_SECOND, AT_ONCE, parts.steady())
  }

  /** Something may have changed. */
  touch(): void {
    const { presence, steady, later, request } = this.parts
    if (this.#waits || !presence.hasChanges) return
    const missing = 1 - this.#rate.left(steady())
    if (missing <= 0) return request()
    this.#waits = true
    later(Math.ceil((missing / PER_SECOND) * 1000), () => {
      this.#waits = false
      this.touch()
    })
  }

  /** Send what has changed, unless it was sent a moment ago. */
  send(): void {
    const { presence, sockets, steady } = this.parts
    const before = steady()
    if (!presence.hasChanges || !this.#rate.tryTake(before)) return
    const owners = presence.changedBy() as Set<SyncSocket>
    const frame = presence.takeChanges()
    if (!frame) return
    const message = new BroadcastMessage(frame)
    for (const s of sockets) {
      if (s.state.state === 'lagging') continue
      if (s.wouldOverflow(frame.length)) s.control(frame)
      else s.transmitToAll(message)
    }
    const each = (steady() - before) / owners.size
    for (const owner of owners) owner.spend(each)
  }
}
