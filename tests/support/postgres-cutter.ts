import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { Worker } from 'node:worker_threads'

/**
 * `beforeCommit`: the next COMMIT does not reach the engine. `afterCommit`: it does, and its answer is lost. Both break the connection. `away`: there
 * is none. `breakdown`: as `afterCommit`, and what comes instead of the answer is the engine's last word (it panics while it writes the answer). `garbage`: what comes is no answer
 * at all. `slow`: each answer takes a tenth of a second.
 */
export type Cut = 'pass' | 'beforeCommit' | 'afterCommit' | 'away' | 'breakdown' | 'garbage' | 'slow'
const CUTS: readonly Cut[] = ['pass', 'beforeCommit', 'afterCommit', 'away', 'breakdown', 'garbage', 'slow']

/** A line to PostgreSQL that a test can cut at the worst moment. */
export class PostgresCutter {
  readonly #folder = mkdtempSync(join(tmpdir(), 'stagecall-cut-'))
  readonly #state = new Int32Array(new SharedArrayBuffer(8))
  readonly #worker: Worker
  readonly #database: string

  private constructor(address: string) {
    const url = new URL(address)
    this.#database = url.pathname
    this.#worker = new Worker(new URL('./cutter-worker.mjs', import.meta.url), {
      workerData: {
        listenOn: join(this.#folder, '.s.PGSQL.5432'),
        forwardTo: join(url.searchParams.get('host') ?? '', '.s.PGSQL.5432'),
        state: this.#state,
      },
    })
  }

  static async before(address: string): Promise<PostgresCutter> {
    const cutter = new PostgresCutter(address)
    await new Promise((resolve, reject) => {
      cutter.#worker.once('message', resolve)
      cutter.#worker.once('error', reject)
    })
    return cutter
  }

  get address(): string {
    return `postgres://stagecall@localhost${this.#database}?host=${encodeURIComponent(this.#folder)}`
  }

  /** What happens to the next commit, and how the line is after it. */
  set(cut: Cut, then: Cut = 'pass'): void {
    Atomics.store(this.#state, 1, CUTS.indexOf(then))
    Atomics.store(this.#state, 0, CUTS.indexOf(cut))
  }

  async dispose(): Promise<void> {
    const gone = new Promise((resolve) => this.#worker.once('exit', resolve))
    this.#worker.postMessage('end')
    await gone
    rmSync(this.#folder, { recursive: true, force: true })
  }
}
