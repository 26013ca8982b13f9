import type { Barrier } from '@/lib/sync/frames'
import type { PendingKeys, Touch } from './pending-keys'

/**
 * [S8] The client's half of the durable acknowledgement. A barrier says "everything I sent before this"; its answer comes after the commit.
 * It may only go out while it is true that everything pending was sent on this very socket, which is so after the server's SyncStep1 was
 * answered (that answer carries whatever an earlier socket lost) and until something on this socket was refused.
 */
export class Barriers {
  readonly #pending: PendingKeys
  readonly #send: (barrier: Barrier) => void
  readonly #schedule: (run: () => void) => void
  #epoch = 0
  #n = 0
  #armed = false
  #scheduled = false
  /** Horizon by barrier number, for barriers that have no answer yet. */
  readonly #waiting = new Map<number, number>()

  constructor(
    pending: PendingKeys,
    send: (barrier: Barrier) => void,
    schedule: (run: () => void) => void = (run) => queueMicrotask(run),
  ) {
    this.#pending = pending
    this.#send = send
    this.#schedule = schedule
  }

  get armed(): boolean {
    return this.#armed
  }
  get unanswered(): number {
    return this.#waiting.size
  }

  /** A new socket: answers to barriers of the old one prove nothing. */
  connected(): void {
    this.#epoch++
    this.disarm()
  }

  /** Something sent on this socket was refused, or the socket is gone: wait for the next SyncStep1. */
  disarm(): void {
    this.#armed = false
    this.#waiting.clear()
  }

  /** The answer to the server's SyncStep1 has left. */
  step1Answered(): void {
    this.#armed = true
    this.request()
  }

  /** Ask for an acknowledgement of everything edited in this turn of the event loop. */
  request(): void {
    if (!this.#armed || this.#scheduled) return
    this.#scheduled = true
    this.#schedule(() => {
      this.#scheduled = false
      if (!this.#armed || this.#pending.size === 0) return
      const n = ++this.#n
      this.#waiting.set(n, this.#pending.horizon)
      this.#send({ epoch: this.#epoch, n })
    })
  }

  /** @returns the touches that are now on the server's disk. */
  answered({ epoch, n }: Barrier): Touch[] {
    const horizon = this.#waiting.get(n)
    if (epoch !== this.#epoch || horizon === undefined) return []
    for (const earlier of this.#waiting.keys()) if (earlier <= n) this.#waiting.delete(earlier)
    return this.#pending.settle(horizon)
  }
}
