import type { Clock } from '@/lib/core/clock'

interface Sample {
  /** Server time minus device time, ms. */
  offset: number
  /** The offset is known to half of this, ms: the answer was written somewhere within the round trip. */
  roundTrip: number
  /** Device time of the sample. */
  at: number
}

const KEEP = 12
/** ms; phone clocks drift by up to about 50 ppm, so that a sample this old is still good to 15 ms. */
const MAX_AGE = 5 * 60_000
/** ms per ms */
const DRIFT = 100e-6

/**
 * [S15] The server's clock as measured over the socket: the sample with the shortest round trip wins (as in RFC 5905, section 10, the clock
 * filter picks the sample of least delay). Samples that can't both be true mean that the device's clock was set; the older ones are dropped.
 */
export class ServerClock implements Clock {
  readonly #device: () => number
  #samples: Sample[] = []
  #best: Sample | null = null
  readonly #listeners = new Set<() => void>()

  constructor(device: () => number = Date.now) {
    this.#device = device
  }

  /** Now on the server's clock, ms since the epoch; the device's own time until something was measured. */
  readonly now = (): number => this.#device() + (this.#best?.offset ?? 0)

  /** Null until measured; else the offset and how far off it may be, ms. */
  get measured(): { offsetMs: number; plusMinusMs: number } | null {
    return this.#best && { offsetMs: this.#best.offset, plusMinusMs: this.#best.roundTrip / 2 }
  }

  /** One probe: sent and received on the device's clock, answered on the server's. */
  sample(sentMs: number, serverMs: number, receivedMs: number = this.#device()): void {
    const roundTrip = receivedMs - sentMs
    if (!(roundTrip >= 0) || !Number.isFinite(serverMs)) return
    const sample: Sample = { offset: serverMs - (sentMs + receivedMs) / 2, roundTrip, at: receivedMs }
    const agrees = (s: Sample) =>
      Math.abs(s.offset - sample.offset) <=
      (s.roundTrip + roundTrip) / 2 + Math.abs(receivedMs - s.at) * DRIFT + 1
    this.#samples = [...this.#samples.filter((s) => agrees(s) && receivedMs - s.at <= MAX_AGE), sample].slice(
      -KEEP,
    )
    const before = this.#best?.offset
    this.#best = this.#samples.reduce((a, b) => (b.roundTrip <= a.roundTrip ? b : a))
    if (this.#best.offset !== before) this.#listeners.forEach((l) => l())
  }

  /** Device time for the next probe. */
  deviceNow(): number {
    return this.#device()
  }

  onChange(listener: () => void): () => void {
    this.#listeners.add(listener)
    return () => void this.#listeners.delete(listener)
  }
}
