/** How wrong codes are slowed. Times in ms of a steady clock. */
export interface ThrottleLimits {
  /** Wrong codes that cost nothing: people mistype. */
  free: number
  /** How long the answer to the first wrong code beyond those is held back; each further one doubles it. */
  firstDelay: number
  longestDelay: number
  /** Quiet time after which somebody starts afresh. */
  forgetAfter: number
  /** Senders remembered at once; past it the ones quiet for longest are forgotten. */
  maxSenders: number
}

export const THROTTLE: ThrottleLimits = {
  free: 5,
  firstDelay: 250,
  longestDelay: 4_000,
  forgetAfter: 15 * 60_000,
  maxSenders: 2_000,
}

interface Count {
  failures: number
  lastFailure: number
}

/**
 * Says how long the answer to a wrong code is held back from whoever sent it: an address, or a person who has joined. A right code is always
 * looked at, so that behind a shared address a guesser keeps nobody out; what makes guessing hopeless is the length of the codes (join-code.ts).
 * Memory is bounded.
 */
export class AttemptThrottle {
  readonly #limits: ThrottleLimits
  /** In order of their last failure: Map keeps insertion order. */
  readonly #bySender = new Map<string, Count>()

  constructor(limits: ThrottleLimits = THROTTLE) {
    this.#limits = limits
  }

  /** Count a wrong code. Gives how long its answer is to be held back, ms; 0 = not at all. */
  failed(sender: string, now: number): number {
    const { free, firstDelay, longestDelay, forgetAfter, maxSenders } = this.#limits
    const before = this.#bySender.get(sender)
    const failures = 1 + (before && now - before.lastFailure < forgetAfter ? before.failures : 0)
    this.#bySender.delete(sender)
    this.#bySender.set(sender, { failures, lastFailure: now })
    for (const [oldest] of this.#bySender) {
      if (this.#bySender.size <= maxSenders) break
      this.#bySender.delete(oldest)
    }
    return failures <= free ? 0 : Math.min(longestDelay, firstDelay * 2 ** Math.min(failures - free - 1, 30))
  }

  get senders(): number {
    return this.#bySender.size
  }
}
