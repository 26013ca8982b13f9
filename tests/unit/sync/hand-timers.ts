import type { Timers } from '@/server/sync/timers'

/** Timers that run when the test says so. */
export class HandTimers implements Timers {
  now = 0
  readonly #turns: (() => void)[] = []
  readonly #jobs = new Set<{ at: number; every: number | null; run: () => void }>()
  turn(run: () => void) {
    this.#turns.push(run)
  }
  /** A test's turn ends by hand, however quiet it was before. */
  soon(run: () => void) {
    this.turn(run)
  }
  every(ms: number, run: () => void) {
    return this.#add({ at: this.now + ms, every: ms, run })
  }
  after(ms: number, run: () => void) {
    return this.#add({ at: this.now + ms, every: null, run })
  }
  steady() {
    return this.now
  }
  get waitingTurns() {
    return this.#turns.length
  }
  /** End the event-loop turn. */
  endTurn() {
    for (let n = 0; this.#turns.length > 0; n++) {
      if (n > 1000) throw new Error('turns do not end')
      this.#turns.shift()!()
    }
  }
  pass(ms: number) {
    const end = this.now + ms
    for (;;) {
      const next = [...this.#jobs].filter((j) => j.at <= end).sort((a, b) => a.at - b.at)[0]
      if (!next) break
      this.now = next.at
      if (next.every === null) this.#jobs.delete(next)
      else next.at += next.every
      next.run()
      this.endTurn()
    }
    this.now = end
  }
  #add(job: { at: number; every: number | null; run: () => void }) {
    this.#jobs.add(job)
    return () => void this.#jobs.delete(job)
  }
}
