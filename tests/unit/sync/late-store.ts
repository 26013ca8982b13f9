import { MemoryStore } from '@/server/storage/memory-store'
import type { CommitBatch, CommitUnderWay } from '@/server/storage/store'

interface Late {
  batch: CommitBatch
  hear: (() => void) | null
  outcome: { failure: Error | null } | null
}

/** A store that answers a commit when the test says so, or when somebody waits for it. */
export class LateStore extends MemoryStore {
  /** What commits fail with, those under way too. */
  failsWith: Error | null = null
  /** Commits that were begun. */
  begun = 0
  readonly #late: Late[] = []

  get underWay(): number {
    return this.#late.length
  }

  override commit(batch: CommitBatch): void {
    if (this.failsWith) throw this.failsWith
    super.commit(batch)
  }

  begin(batch: CommitBatch): CommitUnderWay {
    if (this.#late.length > 0) throw new Error('A commit is under way already')
    this.begun++
    const late: Late = { batch, hear: null, outcome: null }
    this.#late.push(late)
    return {
      get isDone() {
        return late.outcome !== null
      },
      land: () => {
        const { failure } = (late.outcome ??= this.#end(late))
        if (failure) throw failure
      },
      whenDone: (hear) => void (late.hear = hear),
    }
  }

  /** The database answers; whoever began the commit hears of it. */
  answer(): void {
    const [late] = this.#late
    if (!late) throw new Error('No commit is under way')
    late.outcome = this.#end(late)
    late.hear?.()
  }

  #end(late: Late): { failure: Error | null } {
    this.#late.splice(this.#late.indexOf(late), 1)
    if (this.failsWith === null) super.commit(late.batch)
    return { failure: this.failsWith }
  }
}
