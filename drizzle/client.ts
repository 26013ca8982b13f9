import SqliteDatabase from 'better-sqlite3'
import { drizzle, type BetterSQLite3Database } from 'drizzle-orm/better-sqlite3'
import { asDatabaseError, DatabaseError } from './database-error'
import * as schema from './schema'

export type Db = BetterSQLite3Database<typeof schema>

/** A database of either engine. Its queries are SQL that both understand, written with drizzle's builder for SQLite. */
export interface Client {
  db: Db
  /**
   * Run `work` in one write transaction: all of it or nothing.
   * @throws DatabaseError when the engine fails; TypeError when `work` hands back a promise, whose later writes no transaction could hold.
   */
  transact<T>(work: () => T): T
  /** @throws DatabaseError when what is written now would not be found later. Cheap. */
  check(): void
  /** Another answer whenever another process may have committed. */
  version(): unknown
  /** All that is read from now on is of this moment, until what it hands back is called. */
  freeze(): () => void
  /** Safe to call twice. */
  close(): void
}

export interface SqliteClient extends Client {
  readonly engine: 'sqlite'
  /** The connection under drizzle, for what SQL builders don't cover: pragmas, online backup. */
  connection: SqliteDatabase.Database
  /** From now on every transaction is watched, and the closing too. `check` then looks at what `watch` looks at. */
  watchWith(watch: Watch): void
  /** The log was folded by hand. */
  noteFolded(): void
}

/** Looks at each transaction from outside. What it throws is the transaction's failure. */
export interface Watch {
  /** Before the first write. */
  before(): void
  /** After the commit, before anybody is told of it. */
  after(): void
  /** Everything that can be is folded into the database file, which is about to be closed. */
  closing(): void
  closed(): void
  /** Between transactions. */
  check(): void
}

export interface ClientOptions {
  readonly?: boolean
  /** WAL unless the file is for a lock only. */
  journal?: 'wal' | 'delete'
  /** How long to wait for another program's lock, in ms. */
  busyMs?: number
}

/**
 * Open a database file (`:memory:` for a passing one) with the settings that "saved" rests on: WAL, and synchronous=FULL so that a commit
 * is on the disk when it returns (WAL's default here would be NORMAL, which may lose the last commits when the power fails).
 * @throws DatabaseError
 */
export function openClient(file: string, options: ClientOptions = {}): SqliteClient {
  try {
    const connection = new SqliteDatabase(file, {
      readonly: options.readonly ?? false,
      timeout: options.busyMs ?? 5000,
    })
    try {
      if (!options.readonly) connection.pragma(`journal_mode = ${options.journal ?? 'wal'}`)
      connection.pragma('synchronous = FULL')
      connection.pragma('foreign_keys = ON')
      connection.pragma('trusted_schema = OFF')
      return clientOf(connection)
    } catch (e) {
      connection.close()
      throw e
    }
  } catch (e) {
    throw asDatabaseError(e)
  }
}

function clientOf(connection: SqliteDatabase.Database): SqliteClient {
  const begin = connection.prepare('BEGIN IMMEDIATE')
  const commit = connection.prepare('COMMIT')
  const rollback = connection.prepare('ROLLBACK')
  let open = true
  let watch: Watch | null = null
  return {
    engine: 'sqlite',
    db: drizzle(connection, { schema, casing: 'snake_case' }),
    connection,
    transact(work) {
      try {
        watch?.before()
        begin.run()
        try {
          const result = work()
          if (isPromise(result))
            throw new TypeError('A transaction can’t wait for a promise: do the waiting before it')
          commit.run()
          watch?.after()
          return result
        } catch (e) {
          // SQLite rolls back by itself on some errors (a full disk, for one).
          if (connection.inTransaction) rollback.run()
          throw e
        }
      } catch (e) {
        throw asDatabaseError(e)
      }
    },
    watchWith(next) {
      watch = next
    },
    check() {
      watch?.check()
    },
    // https://www.sqlite.org/pragma.html#pragma_data_version
    version: () => connection.pragma('data_version', { simple: true }),
    freeze() {
      connection.exec('BEGIN')
      return () => void connection.exec('COMMIT')
    },
    noteFolded() {
      watch?.after()
      watch?.after()
    },
    close() {
      if (!open) return
      open = false
      try {
        if (connection.inTransaction) rollback.run()
        // Not cut off: another program may be at work on it. Whoever closes last takes the log away.
        if (!connection.readonly) fold(connection)
        watch?.closing()
      } finally {
        connection.close()
        watch?.closed()
      }
    },
  }
}

/** On a disk that has no room for it the log stays as it is, beside the database: nothing is lost, and it is folded another time. */
function fold(connection: SqliteDatabase.Database): void {
  try {
    connection.pragma('wal_checkpoint(PASSIVE)')
  } catch (e) {
    const error = asDatabaseError(e)
    if (!(error instanceof DatabaseError) || error.trouble !== 'disk-full') throw error
  }
}

export const isPromise = (value: unknown): boolean =>
  typeof value === 'object' && value !== null && 'then' in value && typeof value.then === 'function'
