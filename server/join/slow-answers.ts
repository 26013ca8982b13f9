import type { Timers } from '../sync/timers'

/** Answers held back at once, for one sender and for all. */
const PER_SENDER = 32
const IN_ALL = 512

/** Holds answers back, as many as memory and sockets bear. */
export class SlowAnswers {
  readonly #after: Timers['after']
  readonly #held = new Map<string, number>()
  #all = 0
  constructor(after: Timers['after']) {
    this.#after = after
  }

  /** Resolves when `ms` have passed; at once with false when too many are being held for this sender, or in all. */
  async hold(sender: string, ms: number): Promise<boolean> {
    if (ms <= 0) return true
    const held = this.#held.get(sender) ?? 0
    if (held >= PER_SENDER || this.#all >= IN_ALL) return false
    this.#held.set(sender, held + 1)
    this.#all++
    await new Promise<void>((resolve) => void this.#after(ms, resolve))
    this.#all--
    const left = (this.#held.get(sender) ?? 1) - 1
    if (left > 0) this.#held.set(sender, left)
    else this.#held.delete(sender)
    return true
  }
}
