import type { BatchUnderWay, Committed } from '@/drizzle/postgres/line'
import type { CommitUnderWay } from './store'

export type Done = Committed | { stoppedAt: number }

/** [P4] A commit that PostgreSQL is at; what follows from its answer is done once, whoever asks first. */
export class CommitOnLine implements CommitUnderWay {
  #outcome: { failure: unknown } | null = null

  /** `finish` takes the answer in. @throws as `Store.commit` does */
  constructor(
    readonly batch: BatchUnderWay,
    readonly finish: (done: Done) => void,
  ) {}

  land(): void {
    const { failure } = this.takeIn()
    if (failure !== null) throw failure
  }

  /** Wait for the answer and take it in, whatever it is; whoever began the commit still hears of it. */
  takeIn(): { failure: unknown } {
    return (this.#outcome ??= this.#finished())
  }

  whenDone(hear: () => void): void {
    this.batch.whenDone(hear)
  }

  #finished(): { failure: unknown } {
    try {
      this.finish(this.batch.answer())
      return { failure: null }
    } catch (e) {
      return { failure: e ?? new Error('The commit failed') }
    }
  }
}
