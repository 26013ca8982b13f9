import { statSync, type Stats } from 'node:fs'
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
  readonly #parts: Part[]

  /** The database must be open. @throws when a file is missing already */
  constructor(dataFolder: string) {
    this.#parts = OPEN_PARTS.map((part) => {
      const path = join(dataFolder, DATABASE_FILE + part)
      const { dev, ino } = statSync(path)
      return { path, dev, ino }
    })
  }

  /** All three. @throws DatabaseError `moved` */
  check(): void {
    for (const part of this.#parts) look(part)
  }

  /** What a commit was written to, and what the next start reads it with. @throws DatabaseError `moved` */
  checkWritten(): void {
    look(this.#parts[0])
    look(this.#parts[1])
  }
}

interface Part {
  path: string
  dev: number
  ino: number
}

/** A few microseconds. */
function look(part: Part | undefined): void {
  if (!part) return
  const is = at(part.path)
  if (is === undefined) throw new DatabaseError('moved', `${basename(part.path)} is gone`)
  if (is.ino !== part.ino || is.dev !== part.dev)
    throw new DatabaseError('moved', `${basename(part.path)} is another`)
}

function at(path: string): Stats | undefined {
  try {
    return statSync(path, { throwIfNoEntry: false })
  } catch (e) {
    // A folder that can't be entered, a disk that does not answer: whatever it is, the file is not known to be there.
    throw new DatabaseError('moved', e instanceof Error ? e.message : String(e), e)
  }
}
