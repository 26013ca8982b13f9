import type { FuzzPhone } from './fuzz-phone'

/** As the stock client waits before it tries again, twice as long each time. */
const AGAIN_MS = 100
const LONGEST_AGAIN_MS = 2_500

/** A phone that edits all the time and comes back by itself. */
export class BusyPhone {
  readonly gaps: number[] = []
  #goneAt: number | null = null
  #tries = 0
  #nextAt = 0

  constructor(readonly phone: FuzzPhone) {
    phone.connect()
  }

  look(now: number): void {
    const { phone } = this
    if (phone.takesEdits) {
      if (this.#goneAt !== null) this.gaps.push(now - this.#goneAt)
      this.#goneAt = null
      this.#tries = 0
    } else if (this.#goneAt === null && phone.closes.length > 0) {
      this.#goneAt = now
      this.#nextAt = now + AGAIN_MS
    }
    if (phone.connected || now < this.#nextAt) return
    this.#nextAt = now + Math.min(AGAIN_MS * 2 ** ++this.#tries, LONGEST_AGAIN_MS)
    phone.connect()
  }
}
