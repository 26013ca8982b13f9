import { closeSync, existsSync, fdatasync, openSync, readFileSync, readSync, writeSync } from 'node:fs'
import { join } from 'node:path'
import { crc32 } from 'node:zlib'
import type { SqliteClient } from '@/drizzle/client'
import { DATABASE_FILE } from './database-file'

/** How far the log had come when a commit was about to be acknowledged. */
export interface Mark {
  seq: number
  /** The log's salt as hex; what it had before was all folded into the database when it began with this one. */
  salt: string
  /** Frames in the log, and how many of them are folded into the database. */
  frames: number
  folded: number
  /** Cumulative checksum of the last frame, as hex. */
  sum: string
  /** When, ms since the epoch. */
  at: number
}

const SLOT_BYTES = 52
/** Each slot has a disk block of its own, so that tearing one leaves the other. */
const SLOT_STEP = 4096
const MAGIC = 0x53434d31
const FRAME_BYTES = 24 + 4096
/** Unsynced marks are synced this often at most; it happens beside the event loop. */
const SYNC_MS = 2_000

export const markFile = (dataFolder: string): string => join(dataFolder, `${DATABASE_FILE}-mark`)

function encode(mark: Mark): Buffer {
  const b = Buffer.alloc(SLOT_BYTES)
  b.writeUInt32BE(MAGIC, 0)
  b.writeDoubleBE(mark.seq, 4)
  b.write(mark.salt, 12, 8, 'hex')
  b.writeUInt32BE(mark.frames, 20)
  b.writeUInt32BE(mark.folded, 24)
  b.write(mark.sum, 28, 8, 'hex')
  b.writeDoubleBE(mark.at, 36)
  b.writeUInt32BE(crc32(b.subarray(0, 44)), 44)
  return b
}

function decode(b: Buffer): Mark | null {
  if (b.length < SLOT_BYTES || b.readUInt32BE(0) !== MAGIC || b.readUInt32BE(44) !== crc32(b.subarray(0, 44)))
    return null
  return {
    seq: b.readDoubleBE(4),
    salt: b.toString('hex', 12, 20),
    frames: b.readUInt32BE(20),
    folded: b.readUInt32BE(24),
    sum: b.toString('hex', 28, 36),
    at: b.readDoubleBE(36),
  }
}

const newest = (bytes: Buffer): Mark | null =>
  [0, SLOT_STEP]
    .map((at) => decode(bytes.subarray(at, at + SLOT_BYTES)))
    .reduce((a, b) => (b !== null && (a === null || b.seq > a.seq) ? b : a), null)

/** The mark of a data folder; `none` when there never was one (a database of an earlier version), `damaged` when it can't be read. */
export function readMark(dataFolder: string): Mark | 'none' | 'damaged' {
  const file = markFile(dataFolder)
  if (!existsSync(file)) return 'none'
  return newest(readFileSync(file)) ?? 'damaged'
}

/**
 * [S26] The high-water mark: how far the log has come, written outside it after every commit and before its acknowledgement. A log that ends
 * before the mark has lost what was acknowledged; SQLite itself ends reading at the first frame that does not hold and says nothing.
 *
 * It costs no sync on the way: what a process has written survives the process. Against the power it is synced every two seconds; in between,
 * the log's own frames tell (see `checkLog`).
 */
export class CommitMark {
  readonly #fd: number
  readonly #log: number
  readonly #state: { get(): unknown }
  readonly #frame = Buffer.alloc(24)
  readonly #slots = Buffer.alloc(SLOT_STEP + SLOT_BYTES)
  #syncing = false
  #syncedAt = 0

  /** The database must be open. */
  constructor(client: SqliteClient, dataFolder: string) {
    this.#state = client.connection.prepare('PRAGMA wal_checkpoint(NOOP)').raw()
    const file = markFile(dataFolder)
    const isNew = !existsSync(file)
    this.#fd = openSync(file, isNew ? 'w+' : 'r+', 0o600)
    this.#log = openSync(join(dataFolder, `${DATABASE_FILE}-wal`), 'r')
    // Room for both slots, so that a disk that fills up later takes marks all the same.
    if (isNew) writeSync(this.#fd, this.#slots)
    this.write()
  }

  /** Note how far the log is now. */
  write(): void {
    const [, frames = 0, folded = 0] = this.#state.get() as number[]
    this.#frame.fill(0)
    if (frames > 0) readSync(this.#log, this.#frame, 0, 24, 32 + (frames - 1) * FRAME_BYTES)
    // Another process (the admin command) may have written since.
    readSync(this.#fd, this.#slots, 0, this.#slots.length, 0)
    const seq = (newest(this.#slots)?.seq ?? 0) + 1
    const mark: Mark = {
      seq,
      salt: this.#frame.toString('hex', 8, 16),
      frames,
      folded,
      sum: this.#frame.toString('hex', 16, 24),
      at: Date.now(),
    }
    writeSync(this.#fd, encode(mark), 0, SLOT_BYTES, (seq % 2) * SLOT_STEP)
    this.#syncLater(mark.at)
  }

  close(): void {
    closeSync(this.#fd)
    closeSync(this.#log)
  }

  #syncLater(now: number): void {
    if (this.#syncing || Math.abs(now - this.#syncedAt) < SYNC_MS) return
    this.#syncing = true
    this.#syncedAt = now
    fdatasync(this.#fd, () => (this.#syncing = false))
  }
}
