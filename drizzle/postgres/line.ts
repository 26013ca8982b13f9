import { MessageChannel, receiveMessageOnPort, Worker } from 'node:worker_threads'
import { z } from 'zod'
import { DatabaseError, type DatabaseTrouble } from '../database-error'

export type Cell = string | number | null | Uint8Array
/** A statement's parameters; a list goes in as an array. */
export type Param = Cell | readonly Cell[]

export interface Statement {
  sql: string
  params: readonly Param[]
  /** How many rows it must touch; any other number takes the whole transaction back. */
  rows?: number
}

/** `lost`: its answer was; what became of it is found out when the database answers again, under this number. */
export type Committed = { committed: true } | { lost: number }

/** A transaction on its way. */
export interface BatchUnderWay {
  /** Waits for its answer; the same each time. @throws DatabaseError */
  answer(): Committed | { stoppedAt: number }
  /** `hear` is called once, in a turn of its own, when the answer is there. */
  whenDone(hear: () => void): void
}

interface Requests {
  open: object
  query: { sql: string; params: readonly Param[]; inTransaction: boolean }
  begin: object
  freeze: object
  commit: object
  rollback: object
  batch: { statements: readonly Statement[] }
  outcome: { id: number }
  close: object
}

export interface LineOptions {
  /** Who writes; null only reads. */
  owner: string | null
  /** Bring the tables up to this version; `schema`: where they are, null for the address's own. */
  migrations: { folder: string; newest: number; tag: string; schema: string | null } | null
  times?: Partial<typeof TIMES>
  /** It can never be used again, and a process that writes through it must end. Told once, in a turn of its own. */
  onOver?: (e: DatabaseError) => void
}

/** ms. The event loop waits for the database as it does for SQLite's disk, so that none of these may be long. */
export const TIMES = {
  connect: 2_000,
  open: 15_000,
  /** One statement, or all of a turn's before its commit. */
  statement: 2_000,
  lock: 1_000,
  commit: 2_000,
  /** How long the writer waits for the word on a commit whose answer was lost, before everything turns read-only. */
  findOut: 1_000,
  /** The engine ends a transaction that nothing is heard of for so long: a paused process holds no locks. */
  idle: 1_500,
}

const GRACE_MS = 1_000
/** What it is not waited longer for in one piece: a process that was paused counts as having waited for one of them. */
const SLICE_MS = 100
const [ANSWERED, UP, TAKEN] = [0, 1, 2]

const resultSchema = z.object({
  rows: z.array(z.array(z.unknown())),
  count: z.number(),
  names: z.array(z.string()),
})
export type Rows = z.infer<typeof resultSchema>
const commitSchema = z.object({ committed: z.literal(true) }).or(z.object({ lost: z.number() }))
const batchSchema = commitSchema.or(z.object({ stoppedAt: z.number() }))
const answerSchema = z.discriminatedUnion('ok', [
  z.object({ n: z.number(), ok: z.literal(true), value: z.unknown() }),
  z.object({
    n: z.number(),
    ok: z.literal(false),
    down: z.boolean(),
    code: z.string().nullable(),
    refuses: z.enum(['too-old', 'not-durable', 'too-new', 'went-back']).nullable(),
    message: z.string(),
  }),
])

type Answer = z.infer<typeof answerSchema>

const newsSchema = z.object({ over: z.string() }).or(z.object({ aside: z.number(), count: z.number() }))

/**
 * A connection to PostgreSQL that answers in the same turn of the event loop: the driver runs in a thread, and this one waits for it, for a
 * limited time. While the database is away every question fails at once. @throws DatabaseError from every method
 */
export class PostgresLine {
  readonly #worker: Worker
  readonly #port
  readonly #state = new Int32Array(new SharedArrayBuffer(12))
  #asked = 0
  #inTransaction = false
  #closed = false
  readonly #times: typeof TIMES
  readonly #onOver: (e: DatabaseError) => void
  #asides = 0
  readonly #heard = new Map<number, (count: number) => void>()
  /** The batch that nobody waits for, until it is answered. */
  #underWay: { n: number; hear: (answer: Answer) => void } | null = null

  /** Somebody waits to hear that it is open. */
  #opening: { n: number; hear: (answer: Answer) => void; fail: (e: DatabaseError) => void } | null = null

  private constructor(url: string, { owner, migrations, times, onOver = () => undefined }: LineOptions) {
    this.#onOver = onOver
    this.#times = { ...TIMES, ...times }
    const { port1, port2 } = new MessageChannel()
    this.#port = port1
    this.#worker = new Worker(new URL('./line-worker.mjs', import.meta.url), {
      workerData: {
        url,
        owner: owner ?? 'reader',
        writes: owner !== null,
        state: this.#state,
        migrations,
        times: this.#times,
        port: port2,
      },
      transferList: [port2],
    })
    this.#worker.on('error', (e) => this.#over(new DatabaseError('stuck', e.message, e)))
    this.#worker.on('message', (message: unknown) => {
      const news = newsSchema.parse(message)
      if ('over' in news) return this.#over(new DatabaseError('went-back', news.over))
      const hear = this.#heard.get(news.aside)
      for (const id of this.#heard.keys()) if (id <= news.aside) this.#heard.delete(id)
      if (!this.#closed) hear?.(news.count)
    })
    // What is waited for is taken from the port before any event.
    this.#port.on('message', (message: unknown) => this.#take(answerSchema.parse(message)))
    this.#worker.unref()
    this.#port.unref()
  }

  /** Waits for it in this turn of the event loop. */
  static open(url: string, options: LineOptions): PostgresLine {
    const line = new PostgresLine(url, options)
    try {
      line.#ask('open', {}, line.#times.open)
      return line
    } catch (e) {
      line.#end()
      throw e
    }
  }

  /** The same without holding anybody up: a thread and a connection take a tenth of a second to begin. */
  static async openAside(url: string, options: LineOptions): Promise<PostgresLine> {
    const line = new PostgresLine(url, options)
    try {
      await line.#opened()
      return line
    } catch (e) {
      line.#end()
      throw e
    }
  }

  /** False while the database is away, or not yet looked up what became of a commit. Costs nothing. */
  get isUp(): boolean {
    return Atomics.load(this.#state, UP) === 1
  }
  get inTransaction(): boolean {
    return this.#inTransaction
  }

  query(sql: string, params: readonly Param[] = []): Rows {
    const request = { sql, params: params.map(owned), inTransaction: this.#inTransaction }
    return resultSchema.parse(this.#ask('query', request, this.#times.statement + 500))
  }

  begin(): void {
    this.#ask('begin', {}, this.#times.statement)
    this.#inTransaction = true
  }
  /** A transaction that only reads, of this moment; `rollback` ends it. */
  freeze(): void {
    this.#ask('freeze', {}, this.#times.statement)
    this.#inTransaction = true
  }
  commit(): Committed {
    this.#inTransaction = false
    const { commit, findOut, connect } = this.#times
    return commitSchema.parse(this.#ask('commit', {}, commit + findOut + connect))
  }
  rollback(): void {
    this.#inTransaction = false
    if (this.isUp) this.#ask('rollback', {}, this.#times.statement)
  }

  #opened(): Promise<void> {
    const n = this.#send('open', {})
    this.#port.ref()
    return new Promise((resolve, reject) => {
      const settle = (how: () => void) => {
        clearTimeout(late)
        this.#opening = null
        if (!this.#closed) this.#port.unref()
        how()
      }
      const fail = (e: DatabaseError) => settle(() => reject(e))
      const silent = new DatabaseError('stuck', `no word from its thread within ${this.#times.open} ms`)
      const late = setTimeout(() => fail(silent), this.#times.open + GRACE_MS)
      const hear = (answer: Answer) => (answer.ok ? settle(resolve) : fail(failureOf(answer, 'open')))
      this.#opening = { n, hear, fail }
    })
  }

  /** One transaction; or, with nothing of it done, which statement touched other than the rows it had to. */
  batch(statements: readonly Statement[]): Committed | { stoppedAt: number } {
    return batchSchema.parse(this.#ask('batch', { statements: plain(statements) }, this.#batchMs))
  }

  /** The same, not waited for. One at a time; whatever is asked meanwhile is answered after it. */
  beginBatch(statements: readonly Statement[]): BatchUnderWay {
    if (this.#underWay) throw new Error('A batch is under way already')
    const n = this.#send('batch', { statements: plain(statements) })
    let answer: Answer | null = null
    let waiting: (() => void) | null = null
    const tell = () => {
      if (waiting) setImmediate(waiting)
      waiting = null
    }
    // Somebody may wait for it and for nothing else.
    this.#port.ref()
    const underWay: BatchUnderWay = {
      answer: () => {
        answer ??= this.#wait(n, 'batch', this.#batchMs)
        return batchSchema.parse(valueOf(answer, 'batch'))
      },
      whenDone: (hear) => {
        waiting = hear
        if (answer) tell()
      },
    }
    // Whoever hears of it asks, and so finds out about a thread that says nothing any more.
    const overdue = setTimeout(tell, this.#batchMs + GRACE_MS).unref()
    this.#underWay = {
      n,
      hear: (heard) => {
        answer = heard
        clearTimeout(overdue)
        tell()
      },
    }
    return underWay
  }

  get #batchMs(): number {
    const { statement, commit, findOut, connect } = this.#times
    return statement + commit + findOut + connect
  }

  /** Whether a commit whose answer was lost took place. */
  outcome(id: number): boolean {
    return z.boolean().parse(this.#ask('outcome', { id }, this.#times.statement))
  }

  /** Not waited for, and it may fail. `hear`: how many rows it touched, in a later turn; nothing where it failed, or another came after it. */
  aside(sql: string, params: readonly Param[], hear?: (count: number) => void): void {
    if (this.#closed) return
    const id = ++this.#asides
    if (hear) this.#heard.set(id, hear)
    this.#port.postMessage({ kind: 'aside', id, sql, params })
  }

  close(): void {
    if (this.#closed) return
    try {
      this.#ask('close', {}, 4 * this.#times.statement)
    } finally {
      this.#end()
    }
  }

  #over(e: DatabaseError): void {
    if (this.#closed) return
    this.#end()
    if (this.#opening) return this.#opening.fail(e)
    setImmediate(this.#onOver, e)
  }

  #end(): void {
    this.#closed = true
    Atomics.store(this.#state, UP, 0)
    this.#port.close()
    void this.#worker.terminate()
  }

  #ask<K extends keyof Requests>(kind: K, request: Requests[K], ms: number): unknown {
    return valueOf(this.#wait(this.#send(kind, request), kind, ms), kind)
  }

  /** Gives the question's number. */
  #send<K extends keyof Requests>(kind: K, request: Requests[K]): number {
    if (this.#closed) throw new DatabaseError('no-database', 'the connection is closed')
    if (kind !== 'open' && kind !== 'close' && !this.isUp) throw new DatabaseError('no-database', kind)
    const n = ++this.#asked
    this.#port.postMessage({ kind, n, ...request })
    return n
  }

  #wait(n: number, kind: keyof Requests, ms: number): Answer {
    if (this.#closed) throw new DatabaseError('stuck', 'the connection is closed')
    // What was asked before it, which nobody waited for, may take as long as that may.
    const ahead = this.#underWay && this.#underWay.n < n ? this.#batchMs : this.#times.statement
    let left = (kind === 'open' ? ms : ahead) + GRACE_MS
    let isTaken = false
    for (;;) {
      const is = Atomics.load(this.#state, ANSWERED)
      if (is >= n) break
      if (!isTaken && Atomics.load(this.#state, TAKEN) >= n) {
        isTaken = true
        left = ms + GRACE_MS
      }
      if (left <= 0) {
        // Nobody will ever know what it did: nothing is written any more, until the next start reads what there is.
        const stuck = new DatabaseError('stuck', `no word from its thread within ${ms} ms`)
        this.#over(stuck)
        throw stuck
      }
      const before = performance.now()
      Atomics.wait(this.#state, ANSWERED, is, Math.min(left, SLICE_MS))
      left -= Math.min(performance.now() - before, 2 * SLICE_MS)
    }
    for (;;) {
      const answer = answerSchema.parse(receiveMessageOnPort(this.#port)?.message)
      this.#take(answer)
      if (answer.n === n) return answer
      // The others are of what was asked before it: a batch, or a question that was given up.
    }
  }

  /** Hand it on if it is the answer to what nobody waits for in this turn. */
  #take(answer: Answer): void {
    if (answer.n === this.#opening?.n) return this.#opening.hear(answer)
    if (answer.n !== this.#underWay?.n) return
    const { hear } = this.#underWay
    this.#underWay = null
    this.#port.unref()
    hear(answer)
  }
}

/** @throws DatabaseError where it says that the question failed */
function valueOf(answer: Answer, kind: keyof Requests): unknown {
  if (answer.ok) return answer.value
  throw failureOf(answer, kind)
}

const failureOf = (answer: Extract<Answer, { ok: false }>, kind: keyof Requests) =>
  new DatabaseError(
    answer.refuses ??
      (!answer.down ? troubleOf(answer.code) : kind === 'open' ? 'no-database-yet' : 'no-database'),
    answer.message,
  )

const plain = (statements: readonly Statement[]) =>
  statements.map(({ params, ...s }) => ({ ...s, params: params.map(owned) }))

/** A view of a larger buffer would take all of it along to the other thread. */
const owned = (param: Param): Param =>
  param instanceof Uint8Array
    ? Uint8Array.from(param)
    : Array.isArray(param)
      ? (param as readonly Cell[]).map((cell) => owned(cell) as Cell)
      : param

/** SQLSTATE: https://www.postgresql.org/docs/15/errcodes-appendix.html */
function troubleOf(code: string | null): DatabaseTrouble {
  switch (code) {
    case '53100':
      return 'engine-disk-full'
    case '25006':
    case '42501':
      return 'engine-read-only'
    case '55P03':
    case '57014':
    case '40P01':
      return 'engine-busy'
    case '58030':
      return 'engine-input-output'
    case 'XX001':
    case 'XX002':
      return 'engine-damaged'
    default:
      return 'other'
  }
}
