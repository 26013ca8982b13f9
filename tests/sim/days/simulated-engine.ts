import type SqliteDatabase from 'better-sqlite3'
import { openClient } from '@/drizzle/client'
import { DatabaseError, type DatabaseTrouble } from '@/drizzle/database-error'
import { migrate } from '@/drizzle/migrate'
import type {
  BatchUnderWay,
  Cell,
  Committed,
  Param,
  PostgresLine,
  Rows,
  Statement,
} from '@/drizzle/postgres/line'
import type { Ledger } from './ledger'
import type { Actor, SimulatedTime } from './simulated-time'

/** What the engine does with the next write. `lost-*`: the connection breaks during the commit, which took place or did not. */
export type EngineMood =
  'well' | 'full' | 'lost-written' | 'lost-unwritten' | 'slow' | 'crash-written' | 'crash-unwritten'

/** Who judges, as the other processes see it. */
export interface Holder {
  owner: string
  epoch: number
  address: string
  isThere: boolean
  /** ms by the engine's clock */
  until: number
}

/**
 * One PostgreSQL that every process of the day writes to. Its tables and transactions are SQLite's in memory, which takes most of the server's
 * statements as they are; those that only PostgreSQL knows (`unnest`, its clock, its sequences) are said in SQLite's words, one after the other.
 */
export class SimulatedEngine {
  readonly tables: SqliteDatabase.Database
  isDown = false
  mood: EngineMood = 'well'
  #nextRoom = 0

  constructor(
    readonly time: SimulatedTime,
    readonly ledger: Ledger,
  ) {
    const client = openClient(':memory:')
    migrate(client)
    this.tables = client.connection
    this.tables.exec(
      `DELETE FROM generations;
       CREATE TABLE owners (room_id INTEGER PRIMARY KEY, epoch INTEGER, owner TEXT, address TEXT, lease_until INTEGER)`,
    )
  }

  /** The row that says who has the kit; null while nobody ever had. */
  holder(): Holder | null {
    const row = this.tables
      .prepare(
        `SELECT owner, epoch, address, lease_until AS until FROM owners
         WHERE room_id = (SELECT id FROM rooms WHERE name = 'kit')`,
      )
      .get() as { owner: string; epoch: number; address: string; until: number } | undefined
    return row ? { ...row, isThere: row.until >= this.#now } : null
  }

  get #now(): number {
    return Math.floor(this.time.now)
  }

  run(sql: string, params: readonly Param[]): Rows {
    if (sql.startsWith('SELECT nextval')) return { rows: [[++this.#nextRoom]], count: 1, names: ['nextval'] }
    if (sql.includes('writers')) return { rows: [], count: 0, names: [] }
    if (sql.includes('unnest(')) return { rows: [], count: this.#unnested(sql, params), names: [] }
    const said = this.#said(sql)
    const any = /= ANY\(\$1::text\[\]\)/.test(said)
    const list = any ? (params[0] as readonly Cell[]) : params
    const statement = this.tables.prepare(
      any ? said.replace(/= ANY\(\$1::text\[\]\)/, `IN (${list.map(() => '?').join(', ')})`) : said,
    )
    const values = list.map(bindable)
    const bound = any || values.length === 0 ? values : [Object.fromEntries(values.map((v, i) => [i + 1, v]))]
    if (!statement.reader) return { rows: [], count: statement.run(...bound).changes, names: [] }
    const names = statement.columns().map((c) => c.name)
    const rows = statement.raw().all(...bound) as unknown[][]
    return { rows, count: rows.length, names }
  }

  /** PostgreSQL's words that SQLite does not know. */
  #said(sql: string): string {
    return sql
      .replaceAll('(extract(epoch from clock_timestamp()) * 1000)::bigint', String(this.#now))
      .replace('SELECT FROM owners', 'SELECT 1 FROM owners')
  }

  /** Lists that go in as columns: one row after the other. */
  #unnested(sql: string, params: readonly Param[]): number {
    const columns = params.filter((p): p is readonly Cell[] => Array.isArray(p))
    const rest = params.filter((p) => !Array.isArray(p)) as Cell[]
    const said = this.#said(sql)
    const fence = /^(UPDATE owners SET lease_until = .*)\n\s*FROM unnest/.exec(said)
    const into = /^INSERT INTO (\w+)\s*\(([^)]*)\)/.exec(said)
    const one = fence
      ? `${fence[1]} WHERE room_id = ? AND epoch = ? AND owner = ?`
      : `INSERT INTO ${into?.[1]} (${into?.[2]}) VALUES (${columns.map(() => '?').join(', ')})${
          / ON CONFLICT[^]*$/.exec(said)?.[0].replace(/\s+ORDER BY n$/, '') ?? ''
        }`
    const statement = this.tables.prepare(one)
    let count = 0
    for (let i = 0; i < (columns[0]?.length ?? 0); i++)
      count += statement.run(...columns.map((c) => bindable(c[i] ?? null)), ...rest.map(bindable)).changes
    return count
  }

  /** After a commit by anybody. */
  committed(): void {
    this.ledger.committed(this.tables)
    const rows = this.tables
      .prepare(
        'SELECT rooms.name, epoch, owner FROM owners JOIN rooms ON rooms.id = owners.room_id ORDER BY rooms.id',
      )
      .all() as { name: string; epoch: number; owner: string }[]
    for (const { name, epoch, owner } of rows) this.ledger.owned(name, epoch, owner)
  }
}

const bindable = (param: Param): unknown => (param instanceof Uint8Array ? Buffer.from(param) : param)

/** One process's connection to it, with the methods of the real one. */
export class SimulatedPostgresLine {
  /** The network between this process and the engine. */
  isCut = false
  #isUp = true
  #isClosed = false
  #inTransaction = false
  #hasWritten = false
  #count = 0
  readonly #outcomes = new Map<number, boolean>()
  /** Does what was begun and is not done yet: whatever is asked next comes after it. */
  #underWay: () => void = () => undefined
  /** It has reached the engine, whatever becomes of the process. */
  #isThere = false

  constructor(
    readonly engine: SimulatedEngine,
    readonly owner: string,
    readonly actor: Actor,
    /** Takes the process down. */
    readonly onCrash: () => void,
  ) {}

  /** What the server takes for its connection. */
  get asLine(): PostgresLine {
    return this as unknown as PostgresLine
  }
  get isConnected(): boolean {
    return (
      !this.#isClosed &&
      this.#isUp &&
      !this.engine.isDown &&
      !this.isCut &&
      (this.#isThere || !this.actor.isDead)
    )
  }
  get isUp(): boolean {
    return this.isConnected
  }
  get inTransaction(): boolean {
    return this.#inTransaction
  }

  query(sql: string, params: readonly Param[] = []): Rows {
    this.#underWay()
    this.#mustBeUp()
    const isWrite = !/^\s*select/i.test(sql)
    if (isWrite && this.engine.mood === 'full') throw this.#trouble('engine-disk-full')
    const rows = this.engine.run(sql, params)
    if (isWrite && !this.#inTransaction) this.engine.committed()
    this.#hasWritten ||= isWrite
    return rows
  }
  begin(): void {
    this.#underWay()
    this.#mustBeUp()
    this.engine.tables.exec('BEGIN')
    this.#inTransaction = true
  }
  freeze(): void {
    this.begin()
  }
  commit(): Committed {
    this.#inTransaction = false
    return this.#end()
  }
  rollback(): void {
    this.#inTransaction = false
    if (this.engine.tables.inTransaction) this.engine.tables.exec('ROLLBACK')
  }

  batch(statements: readonly Statement[]): Committed | { stoppedAt: number } {
    this.#underWay()
    this.#mustBeUp()
    const { tables } = this.engine
    tables.exec('BEGIN')
    try {
      if (this.engine.mood === 'full') throw this.#trouble('engine-disk-full')
      for (const [stoppedAt, { sql, params, rows }] of statements.entries()) {
        const { count } = this.engine.run(sql, params)
        if (rows === undefined || rows === count) continue
        tables.exec('ROLLBACK')
        return { stoppedAt }
      }
    } catch (e) {
      if (tables.inTransaction) tables.exec('ROLLBACK')
      throw e instanceof DatabaseError ? e : new DatabaseError('other', String(e), e)
    }
    return this.#end()
  }

  /** It happens some moments later, even to a process that is paused or dead by then; or as soon as its answer is waited for. */
  beginBatch(statements: readonly Statement[]): BatchUnderWay {
    this.#underWay()
    this.#mustBeUp()
    const { time, mood } = this.engine
    const { random } = time
    let answer: { value: Committed | { stoppedAt: number } } | { failure: unknown } | null = null
    let hear: (() => void) | null = null
    const tell = () => {
      if (hear) this.actor.soon(hear, random.next() * 3)
      hear = null
    }
    const run = () => {
      if (answer) return
      this.#underWay = () => undefined
      try {
        answer = { value: this.batch(statements) }
      } catch (failure) {
        answer = { failure }
      }
      tell()
    }
    this.#underWay = run
    const takes = mood === 'slow' ? 50 + random.below(1_500) : random.next() * 12
    const isSent = random.chance(0.5)
    const later = () => {
      this.#isThere = isSent
      run()
      this.#isThere = false
    }
    if (isSent) time.after(takes, later, null)
    else this.actor.soon(later, takes)
    return {
      answer: () => {
        run()
        if (answer && 'value' in answer) return answer.value
        throw answer?.failure
      },
      whenDone: (listener) => {
        hear = listener
        if (answer) tell()
      },
    }
  }

  outcome(id: number): boolean {
    this.#underWay()
    this.#mustBeUp()
    return this.#outcomes.get(id) ?? false
  }

  aside(sql: string, params: readonly Param[], hear?: (count: number) => void): void {
    if (!this.isUp) return
    const { random } = this.engine.time
    this.actor.soon(() => {
      if (!this.isUp || this.engine.mood === 'full') return
      const { count } = this.engine.run(sql, params)
      this.engine.committed()
      this.actor.soon(() => {
        if (!this.#isClosed) hear?.(count)
      }, random.next() * 20)
    }, random.next() * 20)
  }

  close(): void {
    this.#isClosed = true
  }

  #end(): Committed {
    const { engine } = this
    const { tables, time, mood } = engine
    const isLost = mood.startsWith('lost') && !this.actor.isDead
    const isCrash = mood.startsWith('crash') && !this.actor.isDead
    if (mood === 'slow' && !this.#isThere) time.now += 50 + time.random.below(1_500)
    tables.exec(mood.endsWith('-unwritten') ? 'ROLLBACK' : 'COMMIT')
    engine.committed()
    if (!isLost && !isCrash) return { committed: true }
    engine.mood = 'well'
    if (isCrash) {
      this.onCrash()
      throw new DatabaseError('no-database', 'the process died')
    }
    this.#isUp = false
    this.actor.soon(() => (this.#isUp = true), 30 + time.random.below(3_000))
    this.#outcomes.set(++this.#count, mood === 'lost-written')
    return { lost: this.#count }
  }
  #mustBeUp(): void {
    if (!this.isUp) throw this.#trouble('no-database')
  }
  #trouble(trouble: DatabaseTrouble): DatabaseError {
    return new DatabaseError(trouble, 'simulated')
  }
}
