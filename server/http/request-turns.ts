import type { Budgets, Payer } from '../sync/budgets'
import type { Timers } from '../sync/timers'

/** Time that the requests of one event-loop turn may take, ms: edits are read in between. */
const SLICE_MS = 6
/** The same for guests and strangers. */
const OTHERS_SLICE_MS = 3
/** How long a request is held back before it is told to come again later, ms. */
const LONGEST_HOLD_MS = 5_000
/** Requests held back at once, for one asker and for all. */
const HELD_PER_ASKER = 512
const HELD_IN_ALL = 4_096

interface Held {
  payer: Payer
  expectedMs: number
  until: number
  settle: (waitMs: number) => void
}

/**
 * [S25] Requests take their time from the same budgets as messages do. Who has used up theirs is held back, so that their connections carry no
 * further request meanwhile, and told to come again later where that takes too long. Each asker has a line of their own; the crew's lines are
 * served before guests' and strangers', one request of each in turn.
 */
export class RequestTurns {
  readonly #lines = new Map<string, Held[]>()
  #held = 0
  #spent = 0
  #scheduled = false
  #stopWait: (() => void) | null = null

  constructor(
    readonly budgets: Budgets,
    readonly timers: Timers,
  ) {}

  /** Resolves with 0 when the request may be answered now, what it will about take being charged; otherwise with how long to stay away, ms. */
  take(payer: Payer, expectedMs: number): Promise<number> {
    const asker = askerOf(payer)
    const line = this.#lines.get(asker)
    if (!line && this.#spent < sliceOf(payer) && this.budgets.waitOf(payer) === 0) {
      this.charge(payer, expectedMs)
      return Promise.resolve(0)
    }
    if ((line?.length ?? 0) >= HELD_PER_ASKER || this.#held >= HELD_IN_ALL)
      return Promise.resolve(Math.max(1_000, this.budgets.waitOf(payer)))
    return new Promise((settle) => {
      const held = { payer, expectedMs, until: this.timers.steady() + LONGEST_HOLD_MS, settle }
      if (line) line.push(held)
      else this.#lines.set(asker, [held])
      this.#held++
      this.#schedule()
    })
  }

  /** A request takes so many ms, or took so many more than was expected. */
  charge(payer: Payer, ms: number): void {
    this.budgets.charge(payer, ms)
    this.#spent += ms
    this.#schedule()
  }

  #schedule(): void {
    if (this.#scheduled) return
    this.#scheduled = true
    this.timers.turn(() => this.#run())
  }

  #run(): void {
    this.#scheduled = false
    this.#spent = 0
    const now = this.timers.steady()
    const lines = [...this.#lines].sort(
      ([, a], [, b]) => Number(isCrew(b[0]?.payer)) - Number(isCrew(a[0]?.payer)),
    )
    let soonest = Infinity
    for (const [asker, line] of lines) {
      while (line[0] && line[0].until <= now)
        this.#settle(asker, line, this.budgets.waitOf(line[0].payer) || 1_000)
      const first = line[0]
      if (!first) continue
      const wait = this.budgets.waitOf(first.payer)
      if (wait > 0) soonest = Math.min(soonest, wait, first.until - now)
      else if (this.#spent >= sliceOf(first.payer)) soonest = 0
      else {
        // The next of this line comes after everybody else's.
        this.#lines.delete(asker)
        this.#lines.set(asker, line)
        this.charge(first.payer, first.expectedMs)
        this.#settle(asker, line, 0)
        if (line.length > 0) soonest = 0
      }
    }
    if (this.#lines.size === 0) return
    if (soonest === 0) return this.#schedule()
    this.#stopWait?.()
    this.#stopWait = this.timers.after(Math.max(1, Math.ceil(soonest)), () => this.#schedule())
  }

  #settle(asker: string, line: Held[], waitMs: number): void {
    line.shift()?.settle(waitMs)
    this.#held--
    if (line.length === 0) this.#lines.delete(asker)
  }
}

const isCrew = (payer: Payer | undefined) => (payer?.session?.role ?? 'guest') !== 'guest'
const sliceOf = (payer: Payer) => (isCrew(payer) ? SLICE_MS : OTHERS_SLICE_MS)

const askerOf = ({ session, address }: Payer): string =>
  session ? `person ${session.personId}` : `address ${address ?? ''}`
