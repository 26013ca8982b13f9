import { statSync, type BigIntStats } from 'node:fs'
import { basename, join } from 'node:path'
import { DatabaseError } from '@/drizzle/database-error'
import { DATABASE_FILE } from './database-file'

/** What SQLite keeps open. */
const OPEN_PARTS = ['', '-wal', '-shm']

/**
 * [S26] Compares the files that are open with those at their path. A file that was removed or replaced can be written to without any error;
 * only the next start would notice, and open something else.
 */
export class FolderWatch {
  readonly #parts: { path: string; dev: bigint; ino: bigint }[]

  /** The database must be open. @throws when a file is missing already */
  constructor(dataFolder: string) {
    this.#parts = OPEN_PARTS.map((part) => {
      const path = join(dataFolder, DATABASE_FILE + part)
      const { dev, ino } = statSync(path, { bigint: true })
      return { path, dev, ino }
    })
  }

  /** Three questions to the file system, a few microseconds. @throws DatabaseError `moved` */
  check(): void {
    for (const { path, dev, ino } of this.#parts) {
      const is = at(path)
      if (is === undefined) throw new DatabaseError('moved', `${basename(path)} is gone`)
      if (is.ino !== ino || is.dev !== dev) throw new DatabaseError('moved', `${basename(path)} is another`)
    }
  }
}

function at(path: string): BigIntStats | undefined {
  try {
    return statSync(path, { bigint: true, throwIfNoEntry: false })
  } catch (e) {
    // A folder that can't be entered, a disk that does not answer: whatever it is, the file is not known to be there.
    throw new DatabaseError('moved', e instanceof Error ? e.message : String(e), e)
  }
}
