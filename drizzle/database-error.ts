/** What kept the database from doing its work, in the terms of somebody who can do something about it. */
export type DatabaseTrouble =
  | 'disk-full'
  | 'read-only'
  | 'busy'
  | 'damaged'
  | 'input-output'
  | 'too-new'
  | 'moved'
  | 'half-restored'
  | 'missing'
  | 'damaged-log'
  | 'no-database'
  | 'no-database-yet'
  | 'engine-read-only'
  | 'engine-busy'
  | 'engine-damaged'
  | 'engine-input-output'
  | 'engine-disk-full'
  | 'taken-over'
  | 'too-old'
  | 'not-durable'
  | 'went-back'
  | 'stuck'
  | 'other'

const REASON: Record<DatabaseTrouble, string> = {
  'disk-full': 'the disk is full; free some space on the machine that serves the board',
  'read-only': 'the data folder can’t be written; check its permissions and the disk',
  busy: 'another program keeps the database locked; close it',
  damaged: 'the database file is damaged; restore the latest backup',
  'input-output': 'the disk reports errors; copy the data folder to another disk',
  'too-new': 'the database was written by a newer version; update this one',
  moved:
    'the data folder is no longer the one that was opened: it was removed, moved or replaced; put it back, or restart the board',
  'half-restored':
    'a restore was cut off here; start the board once (npm start), or restore again, and it is finished',
  missing:
    'the database is not in its folder, though files that belong to it are; put it back as board.db, restore a backup, or move those files away to begin with an empty board',
  'damaged-log':
    'the log of edits is damaged; start the board (npm start), which mends it or says what is lost',
  'no-database':
    'the database does not answer; start it, or look at the network between it and the board; nothing needs to be done here',
  'no-database-yet':
    'the database does not answer; start it, or look at its address and the network between it and this machine, then try again',
  'engine-read-only':
    'the database lets this board write nothing; look at its role, and at default_transaction_read_only',
  'engine-busy':
    'the database is too slow, or somebody keeps rows of the board locked; see what else it is doing',
  'engine-damaged': 'the database reports damage; look into its log, and restore what was saved of it',
  'engine-input-output': 'the database’s disk reports errors; copy the database to another one',
  'engine-disk-full': 'the disk is full; free some space on the machine that holds the database',
  'taken-over': 'another board serves this database, and two must not; close one of them',
  'too-old': 'PostgreSQL 15 or newer is needed',
  'not-durable': 'the database would call saved what a power cut may take; set fsync = on in its settings',
  'went-back':
    'the database no longer is as this board left it: an older state was brought back, or a standby that lacks writes took over; start the board again, and phones bring back what they hold',
  stuck:
    'the part of the board that speaks with the database does not answer any more; start the board again',
  other: 'the database refused',
}

/** A failed read or write of the database. The connection stays usable and nothing of the failed transaction was kept. */
export class DatabaseError extends Error {
  override readonly name = 'DatabaseError'
  constructor(
    readonly trouble: DatabaseTrouble,
    detail: string,
    cause?: unknown,
  ) {
    super(`${REASON[trouble]} (${detail})`, { cause })
  }
  /** For people: what is wrong and what helps. */
  get reason(): string {
    return REASON[this.trouble]
  }
}

/** Result codes: https://www.sqlite.org/rescode.html */
function troubleOf(code: string): DatabaseTrouble {
  // The index of the log is a file of its own, which fails to grow under this name.
  if (code.startsWith('SQLITE_FULL') || code === 'SQLITE_IOERR_SHMSIZE') return 'disk-full'
  if (code.startsWith('SQLITE_READONLY') || code.startsWith('SQLITE_CANTOPEN') || code === 'SQLITE_PERM')
    return 'read-only'
  if (code.startsWith('SQLITE_BUSY') || code.startsWith('SQLITE_LOCKED')) return 'busy'
  if (code.startsWith('SQLITE_CORRUPT') || code === 'SQLITE_NOTADB') return 'damaged'
  if (code.startsWith('SQLITE_IOERR')) return 'input-output'
  return 'other'
}

/** drizzle wraps what it meets. */
const wrapped = (e: unknown): DatabaseError | undefined =>
  e instanceof DatabaseError ? e : e instanceof Error && e.cause !== undefined ? wrapped(e.cause) : undefined

const codeOf = (e: unknown): string | undefined => {
  if (typeof e !== 'object' || e === null) return undefined
  if ('code' in e && typeof e.code === 'string' && e.code.startsWith('SQLITE_')) return e.code
  return 'cause' in e ? codeOf(e.cause) : undefined
}

/** The same error as a `DatabaseError` when SQLite raised it; any other error unchanged. */
export function asDatabaseError(e: unknown): unknown {
  const known = wrapped(e)
  if (known) return known
  const code = codeOf(e)
  return code ? new DatabaseError(troubleOf(code), code, e) : e
}
