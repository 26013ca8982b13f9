/** A seeded stream of random numbers (mulberry32), so that a failing run can be run again. */
export class Random {
  #state: number
  constructor(seed: number) {
    this.#state = seed >>> 0
  }
  /** 0 ≤ x < 1 */
  next(): number {
    this.#state = (this.#state + 0x6d2b79f5) | 0
    let t = Math.imul(this.#state ^ (this.#state >>> 15), 1 | this.#state)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
  /** A whole number from 0 to n - 1. */
  below(n: number): number {
    return Math.floor(this.next() * n)
  }
  chance(p: number): boolean {
    return this.next() < p
  }
  pick<T>(items: readonly T[]): T {
    if (items.length === 0) throw new Error('nothing to pick from')
    return items[this.below(items.length)] as T
  }
  /** Pick by weight. */
  weighted<K extends string>(weights: Record<K, number>): K {
    const entries = Object.entries(weights) as [K, number][]
    let at = this.next() * entries.reduce((sum, [, w]) => sum + w, 0)
    for (const [key, w] of entries) if ((at -= w) < 0) return key
    return this.pick(entries)[0]
  }
  bytes(n: number): Uint8Array {
    return Uint8Array.from({ length: n }, () => this.below(256))
  }
  shuffle<T>(items: T[]): T[] {
    for (let i = items.length - 1; i > 0; i--) {
      const j = this.below(i + 1)
      const [a, b] = [items[i], items[j]]
      if (a !== undefined && b !== undefined) [items[i], items[j]] = [b, a]
    }
    return items
  }
}
