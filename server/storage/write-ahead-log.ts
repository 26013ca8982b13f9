import { closeSync, fstatSync, fsyncSync, openSync, statfsSync, writeSync } from 'node:fs'
import { join } from 'node:path'
import type { SqliteClient } from '@/drizzle/client'
import { asDatabaseError } from '@/drizzle/database-error'
import type { Disposer } from '../join/live-session'
import { DATABASE_FILE } from './database-file'

/** Pages of 4 KiB in the log at which SQLite folds it into the database file even though somebody waits for the commit: 16 MiB. */
const MOST_PAGES = 4_000
const HEADER_BYTES = 32
const FRAME_BYTES = 24 + 4_096
/** What the log's file is long at least. */
export const RESERVED_BYTES = HEADER_BYTES + MOST_PAGES * FRAME_BYTES
/** On a disk with less space than this left nothing is reserved: what is left is for edits. */
const SPARE_BYTES = 8 * RESERVED_BYTES
const CHUNK = new Uint8Array(256 * 1024)
/** How often it is looked whether the moment is quiet, ms. */
const LOOK_MS = 400

export interface LogParts {
  client: SqliteClient
  dataFolder: string
  every: (ms: number, run: () => void) => Disposer
  /** The log could not be looked after; the board works on, only slower. Told once until it works again. */
  warn: (e: unknown) => void
  freeBytes?: (folder: string) => number
}

/**
 * Looks after SQLite's write-ahead log, so that a commit waits for its own bytes only:
 *
 * - Room for it is written at the start. A file that grows makes the file system write down its new size at every fsync as well.
 * - It is folded into the database file (two fsyncs and every changed page) in quiet moments, when nothing was written since the last look,
 *   and not in whichever commit comes next.
 *
 * Neither changes what a commit promises: SQLite ends reading a log at the first frame that is not its own, and zeros are none
 * (https://www.sqlite.org/fileformat2.html#the_write_ahead_log).
 */
export function tendLog(parts: LogParts): Disposer {
  const { connection } = parts.client
  connection.pragma(`wal_autocheckpoint = ${MOST_PAGES}`)
  const changes = connection.prepare('SELECT total_changes()').pluck()
  let seen = changes.get()
  let folded = seen
  let troubled = false
  const attempt = (work: () => void) => {
    try {
      work()
      troubled = false
    } catch (e) {
      if (!troubled) parts.warn(asDatabaseError(e))
      troubled = true
    }
  }
  attempt(() => reserve(parts))
  return parts.every(LOOK_MS, () => {
    const now = changes.get()
    const quiet = now === seen
    seen = now
    if (!quiet || now === folded) return
    folded = now
    attempt(() => {
      connection.pragma('wal_checkpoint(PASSIVE)')
      // The mark must know what is folded before the log may begin anew.
      parts.client.noteFolded()
      // Another program that closed the database has cut the log off.
      reserve(parts)
    })
  })
}

const freeBytesOf = (folder: string): number => {
  const { bavail, bsize } = statfsSync(folder)
  return bavail * bsize
}

/**
 * Write zeros from the log's end to its reserved length. Inside a write transaction, so that no other program writes frames there meanwhile.
 * The file carries no locks that closing it here could drop: SQLite's are on the database file and on the shared memory.
 */
function reserve({ client: { connection }, dataFolder, freeBytes = freeBytesOf }: LogParts): void {
  if (freeBytes(dataFolder) < SPARE_BYTES) return
  connection.exec('BEGIN IMMEDIATE')
  try {
    const fd = openSync(join(dataFolder, `${DATABASE_FILE}-wal`), 'r+')
    try {
      let at = fstatSync(fd).size
      if (at >= RESERVED_BYTES) return
      while (at < RESERVED_BYTES)
        at += writeSync(fd, CHUNK, 0, Math.min(CHUNK.length, RESERVED_BYTES - at), at)
      fsyncSync(fd)
    } finally {
      closeSync(fd)
    }
  } finally {
    connection.exec('ROLLBACK')
  }
}
