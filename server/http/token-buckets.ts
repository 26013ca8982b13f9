/** A rate limit per key: `burst` at once, `perSecond` on the long run. Memory is bounded; keys quiet for longest are forgotten. */
export class TokenBuckets {
  readonly #buckets = new Map<string, { tokens: number; at: number }>()
  constructor(
    readonly burst: number,
    readonly perSecond: number,
    readonly maxKeys = 5_000,
  ) {}

  /** Take one token; 0 when there was one, otherwise how long until there is one, in ms. */
  take(key: string, now: number): number {
    const before = this.#buckets.get(key) ?? { tokens: this.burst, at: now }
    const earned = (Math.max(0, now - before.at) / 1000) * this.perSecond
    const tokens = Math.min(this.burst, before.tokens + earned)
    const taken = tokens >= 1 ? tokens - 1 : tokens
    this.#buckets.delete(key)
    this.#buckets.set(key, { tokens: taken, at: now })
    for (const [oldest] of this.#buckets) {
      if (this.#buckets.size <= this.maxKeys) break
      this.#buckets.delete(oldest)
    }
    return tokens >= 1 ? 0 : Math.ceil(((1 - tokens) / this.perSecond) * 1000)
  }

  get keys(): number {
    return this.#buckets.size
  }
}
