/** How failed attempts are slowed. Times in ms. */
export interface ThrottleLimits {
  /** Failures that cost nothing: people mistype. */
  free: number
  firstDelay: number
  longestDelay: number
  /** Quiet time after which an address starts afresh. */
  forgetAfter: number
  /** Addresses remembered at once; past it the ones quiet for longest are forgotten. */
  maxAddresses: number
  /** The same for all addresses together: a script with many addresses is slowed too, an honest phone hardly notices. */
  globalFree: number
  globalLongestDelay: number
}

export const THROTTLE: ThrottleLimits = {
  free: 5,
  firstDelay: 1_000,
  longestDelay: 5 * 60_000,
  forgetAfter: 15 * 60_000,
  maxAddresses: 2_000,
  globalFree: 100,
  globalLongestDelay: 2_000,
}

interface Count {
  failures: number
  lastFailure: number
}

/**
 * Slows guessing: after a few free failures each further one doubles the wait, per address and (gently) over all addresses.
 * Memory is bounded. An address is whatever text the caller tells clients apart by.
 */
export class AttemptThrottle {
  readonly #limits: ThrottleLimits
  /** In order of their last failure: Map keeps insertion order. */
  readonly #byAddress = new Map<string, Count>()
  #all: Count = { failures: 0, lastFailure: 0 }

  constructor(limits: ThrottleLimits = THROTTLE) {
    this.#limits = limits
  }

  /** How long this address has to wait before its next attempt is looked at, in ms; 0 = go ahead. */
  waitOf(address: string, now: number): number {
    const { free, longestDelay, globalFree, globalLongestDelay } = this.#limits
    const own = this.#wait(this.#byAddress.get(address), free, longestDelay, now)
    return Math.max(own, this.#wait(this.#all, globalFree, globalLongestDelay, now))
  }

  failed(address: string, now: number): void {
    const before = this.#fresh(this.#byAddress.get(address), now)
    this.#byAddress.delete(address)
    this.#byAddress.set(address, { failures: before + 1, lastFailure: now })
    this.#all = { failures: this.#fresh(this.#all, now) + 1, lastFailure: now }
    for (const [oldest] of this.#byAddress) {
      if (this.#byAddress.size <= this.#limits.maxAddresses) break
      this.#byAddress.delete(oldest)
    }
  }

  /** A right code wipes the address's slate (not the common one: one insider must not cover a script). */
  succeeded(address: string): void {
    this.#byAddress.delete(address)
  }

  get addresses(): number {
    return this.#byAddress.size
  }

  #fresh(count: Count | undefined, now: number): number {
    return count && now - count.lastFailure < this.#limits.forgetAfter ? count.failures : 0
  }

  #wait(count: Count | undefined, free: number, longest: number, now: number): number {
    const beyond = this.#fresh(count, now) - free
    if (!count || beyond < 0) return 0
    const delay = Math.min(longest, this.#limits.firstDelay * 2 ** Math.min(beyond, 30))
    return Math.max(0, count.lastFailure + delay - now)
  }
}
