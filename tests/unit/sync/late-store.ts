import { MemoryStore } from '@/server/storage/memory-store'
import type { CommitBatch, CommitUnderWay, LoadedRoom } from '@/server/storage/store'

interface Late {
  batch: CommitBatch
  hear: (() => void) | null
  outcome: { failure: Error | null } | null
}

/** A store that answers a commit when the test says so, or when somebody waits for it. */
export class LateStore extends MemoryStore {
  /** What commits fail with, those under way too. */
  failsWith: Error | null = null
  /** Whether it says that it is not where it was. */
  isGone = false
  isUnreadable = false
  /** Commits that were begun. */
  readonly batches: CommitBatch[] = []
  readonly #late: Late[] = []
  readonly #untold: Late[] = []

  /** What is written, without waiting for anything. */
  readonly disk = { load: (room: string): LoadedRoom => super.load(room) }

  get begun(): number {
    return this.batches.length
  }
  get underWay(): number {
    return this.#late.length + this.#untold.length
  }

  override check(): void {
    if (this.isGone) throw new Error('it is gone')
  }

  override commit(batch: CommitBatch): void {
    if (this.failsWith) throw this.failsWith
    super.commit(batch)
  }

  /** As with the real one, what is stored is known when what is under way has ended; whoever began it hears of it later. */
  override load(room: string): LoadedRoom {
    if (this.isUnreadable) throw new Error('it can’t be read')
    const [late] = this.#late
    if (late) {
      late.outcome = this.#end(late)
      this.#untold.push(late)
    }
    return super.load(room)
  }

  begin(batch: CommitBatch): CommitUnderWay {
    if (this.#late.length > 0) throw new Error('A commit is under way already')
    this.batches.push(batch)
    const late: Late = { batch, hear: null, outcome: null }
    this.#late.push(late)
    return {
      land: () => {
        if (this.#untold[0] === late) this.#untold.shift()
        const { failure } = (late.outcome ??= this.#end(late))
        if (failure) throw failure
      },
      whenDone: (hear) => void (late.hear = hear),
    }
  }

  /** The database answers; whoever began the commit hears of it. */
  answer(): void {
    const late = this.#untold.shift() ?? this.#late[0]
    if (!late) throw new Error('No commit is under way')
    late.outcome ??= this.#end(late)
    late.hear?.()
  }

  #end(late: Late): { failure: Error | null } {
    this.#late.splice(this.#late.indexOf(late), 1)
    if (this.failsWith === null) super.commit(late.batch)
    return { failure: this.failsWith }
  }
}
