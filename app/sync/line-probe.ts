import { writeClock } from '@/lib/sync/frames'
import type { RoomProvider } from './room-provider'

/** Times in ms. */
const BURST = 5
const GAP = 150
const EVERY = 10_000
/** A socket that leaves a probe unanswered this long is dead: Wi-Fi that fades tells nobody, and the stock provider would wait 30 s. */
const PATIENCE = 6000
/** [S18] The same when somebody has just looked: within two seconds the header must tell the truth. */
const LOOK_PATIENCE = 1500

export interface LineProbeParts {
  deviceNow: () => number
  /** Runs once after so many ms, unless the client is closed by then. */
  later: (ms: number, run: () => void) => void
  /** The socket that was probed answers no more. */
  isDead: () => void
}

/** [S15] Measures the clock over a socket, and with the same frames finds out whether anybody is still there. */
export class LineProbe {
  readonly #parts: LineProbeParts
  /** Answers so far. */
  #heard = 0

  constructor(parts: LineProbeParts) {
    this.#parts = parts
  }

  heard(): void {
    this.#heard++
  }

  /** Probe the provider's socket of now until it is another one: a few times at once, then now and then. */
  begin(provider: RoomProvider): void {
    const socket = provider.ws
    const probe = (left: number) => {
      if (!provider.wsconnected || provider.ws !== socket) return
      this.#ask(provider, PATIENCE)
      if (left > 1) this.#parts.later(GAP, () => probe(left - 1))
      else this.#parts.later(EVERY, () => probe(1))
    }
    probe(BURST)
  }

  /** [S18] One question more, and little patience. */
  look(provider: RoomProvider): void {
    this.#ask(provider, LOOK_PATIENCE)
  }

  #ask(provider: RoomProvider, patience: number) {
    const socket = provider.ws
    socket?.send(writeClock({ clientMs: this.#parts.deviceNow(), serverMs: null }))
    const before = this.#heard
    this.#parts.later(patience, () => {
      if (provider.wsconnected && provider.ws === socket && this.#heard === before) this.#parts.isDead()
    })
  }
}
