import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { readMark } from './commit-mark'
import { DATABASE_FILE } from './database-file'
import { readLogFile } from './log-file'

export type LogVerdict =
  /** Everything acknowledged is there, as far as can be told. */
  | { state: 'sound'; note: string | null }
  /** The log does not hold, yet all of it is folded into the database: without the log nothing is missing, with it older pages came back. */
  | { state: 'folded' }
  /** Acknowledged commits are missing. */
  | {
      state: 'lost'
      salt: string
      /** The last frame that was acknowledged; 0 when the log that held it is gone. */
      last: number
      /** What SQLite will still read of the log, frames. */
      valid: number
      /** False: what SQLite still reads of the log is older than what is folded, and must not be read. */
      readable: boolean
      /** How many commits, as far as the log's remains show; null when they don't. */
      commits: number | null
      /** When the last of them was acknowledged, ms since the epoch; null when not known. */
      until: number | null
    }

/**
 * [S26] Whether the log of a data folder reaches as far as had been acknowledged. Nobody may have the database open.
 *
 * Two witnesses: the mark, which a killed process leaves exact, and the log itself. There, at most one commit may be behind a frame that does
 * not hold: the one that was being written when the power went. Of two, the first had been synced before the second began.
 */
export function checkLog(dataFolder: string): LogVerdict {
  const mark = readMark(dataFolder)
  const file = join(dataFolder, `${DATABASE_FILE}-wal`)
  const log = readLogFile(existsSync(file) ? readFileSync(file) : new Uint8Array())
  const sound = (note: string | null = null): LogVerdict => ({ state: 'sound', note })
  const byLogAlone = (note: string | null): LogVerdict => {
    const last = log.beyond.at(-1) ?? 0
    if (log.beyond.length < 2) return sound(note)
    const { salt, valid, beyond } = log
    return { state: 'lost', salt, last, valid, readable: true, commits: beyond.length, until: null }
  }
  if (mark === 'none') return byLogAlone(null)
  if (mark === 'damaged')
    return byLogAlone('The note of the last saved edit is damaged; the log of edits alone shows no loss.')
  if (mark.frames === 0) return byLogAlone(null)
  const sameLog = log.salt === mark.salt
  const reaches = sameLog && log.hasHeader && log.valid >= mark.frames && log.sumOf(mark.frames) === mark.sum
  if (reaches) return byLogAlone(null)
  if (mark.folded >= mark.frames) {
    // What the mark knows of is in the database; what came after it can only be seen by the log alone.
    const since = log.beyond.filter((n) => !sameLog || n > mark.frames)
    if (log.hasHeader && !sameLog) return byLogAlone(null)
    if (since.length < 2) return foldedVerdict(log)
    const { salt, valid } = log
    const last = since.at(-1) ?? 0
    return { state: 'lost', salt, last, valid, readable: false, commits: since.length, until: null }
  }
  return {
    state: 'lost',
    salt: mark.salt,
    last: mark.frames,
    valid: sameLog ? log.valid : 0,
    readable: !sameLog || log.valid >= mark.folded,
    commits: sameLog && log.beyond.length > 0 ? log.beyond.filter((n) => n <= mark.frames).length : null,
    until: mark.at,
  }
}

/** An empty log is what remains of one that was folded and taken away. */
const foldedVerdict = (log: { salt: string }): LogVerdict =>
  log.salt === '' || /^0*$/.test(log.salt) ? { state: 'sound', note: null } : { state: 'folded' }
