import type { Timers } from '../sync/timers'

/** Does one thing after the other, in the order asked; one that takes longer than `patienceMs` lets the next begin. */
export class OneAfterAnother {
  /** Over when the next may begin. */
  #turn: Promise<void> = Promise.resolve()

  constructor(
    readonly patienceMs: number,
    readonly timers: Pick<Timers, 'after'>,
  ) {}

  /** Resolves when all that was asked for has been done, or has had its time. */
  idle(): Promise<void> {
    return this.#turn
  }

  do<T>(work: () => Promise<T>): Promise<T> {
    const done = this.#turn.then(work)
    this.#turn = this.#turn.then(
      () =>
        new Promise((resolve) => {
          const cancel = this.timers.after(this.patienceMs, resolve)
          const over = () => {
            cancel()
            resolve()
          }
          done.then(over, over)
        }),
    )
    return done
  }
}
