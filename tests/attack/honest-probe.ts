import { quantile } from '../bench/sync/figures'
import type { ProtocolPhone } from './protocol-phone'

export interface ProbeFigures {
  /** Edits that were sent. */
  edits: number
  /** Never acknowledged within the patience of the probe. */
  unanswered: number
  /** Acknowledgement, ms from the edit to its barrier's answer. Unanswered ones count as the whole patience. */
  p50: number
  p99: number
  worst: number
}

/** Edits in the room at any time, and how often each is asked about. */
const PATIENCE_MS = 15_000

/**
 * An honest phone that edits a note at an even pace and times each acknowledgement, beside an attack. `phone` must be synced and allowed to
 * write notes.
 */
export class HonestProbe {
  #running = true
  readonly #times: number[] = []
  #unanswered = 0
  readonly #work: Promise<void>

  constructor(phone: ProtocolPhone, everyMs = 50) {
    this.#work = this.#edit(phone, everyMs)
  }

  async #edit(phone: ProtocolPhone, everyMs: number): Promise<void> {
    const pending: Promise<void>[] = []
    for (let i = 0; this.#running; i++) {
      phone.set('notes', 'probe', 'about', `honest ${i}`)
      pending.push(
        phone.barrier(PATIENCE_MS).then((ms) => {
          if (ms === null) this.#unanswered++
          this.#times.push(ms ?? PATIENCE_MS)
        }),
      )
      await new Promise((r) => setTimeout(r, everyMs))
    }
    await Promise.all(pending)
  }

  /** Stop editing, wait for the last acknowledgements, and tell the figures. */
  async stop(): Promise<ProbeFigures> {
    this.#running = false
    await this.#work
    const at = (p: number) => quantile(this.#times, p) ?? NaN
    return {
      edits: this.#times.length,
      unanswered: this.#unanswered,
      p50: at(0.5),
      p99: at(0.99),
      worst: at(1),
    }
  }
}
