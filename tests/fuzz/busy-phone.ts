import type { FuzzPhone } from './fuzz-phone'

/** As the stock client waits before it tries again, twice as long each time. */
const AGAIN_MS = 100
const LONGEST_AGAIN_MS = 2_500
const LOOK_MS = 5
const EDIT_MS = 200

/** A phone that edits all the time and comes back by itself, until it rests. */
export class BusyPhone {
  readonly gaps: number[] = []
  #goneAt: number | null = null
  #tries = 0
  #nextAt = 0
  readonly #looks: NodeJS.Timeout
  readonly #edits: NodeJS.Timeout

  constructor(readonly phone: FuzzPhone) {
    phone.connect()
    this.#looks = setInterval(() => this.#look(performance.now()), LOOK_MS)
    this.#edits = setInterval(() => {
      phone.editOwn(0)
      if (phone.unanswered === 0) phone.askBarrier()
    }, EDIT_MS)
  }

  /** It edits no more; it still comes back. */
  rest(): void {
    clearInterval(this.#edits)
  }

  end(): void {
    this.rest()
    clearInterval(this.#looks)
    this.phone.destroy()
  }

  #look(now: number): void {
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
