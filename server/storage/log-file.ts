export const LOG_HEADER = 32
export const FRAME_HEADER = 24
export const LOG_MAGIC = 0x377f0682

/** What a write-ahead log's file says by itself. Format: https://www.sqlite.org/fileformat2.html#the_write_ahead_log */
export interface LogFile {
  /** False for a log without a header that holds: SQLite takes it for empty. */
  hasHeader: boolean
  /** As hex; from the header's bytes even when it does not hold. */
  salt: string
  /** Frames up to the last commit that SQLite will read. */
  valid: number
  /** Ends of commits (frame numbers from 1) that bear the log's salt behind the first frame that does not hold. */
  beyond: number[]
  /** Cumulative checksum of frame `n` as it stands in the file, as hex. */
  sumOf(n: number): string
}

export type Sum = [number, number]

/** One step of the log's checksum over `bytes` (a multiple of eight), from `[s0, s1]`. */
export function sumOver(log: DataView, from: number, bytes: number, s: Sum, little: boolean): void {
  let [a, b] = s
  for (let i = from; i < from + bytes; i += 8) {
    a = (a + log.getUint32(i, little) + b) | 0
    b = (b + log.getUint32(i + 4, little) + a) | 0
  }
  s[0] = a
  s[1] = b
}

export const holds = (log: DataView, at: number, s: Readonly<Sum>) =>
  log.getUint32(at) === s[0] >>> 0 && log.getUint32(at + 4) === s[1] >>> 0

export const hex = (log: DataView, at: number, bytes: number): string =>
  Buffer.from(log.buffer, log.byteOffset + at, bytes).toString('hex')

export interface Layout {
  view: DataView
  pageBytes: number
  little: boolean
  frames: number
  at(frame: number): number
}

export function layoutOf(bytes: Uint8Array, pageBytes: number): Layout {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const size = FRAME_HEADER + pageBytes
  return {
    view,
    pageBytes,
    // A magic number that is damaged says nothing; then the usual one is taken.
    little: bytes.length < 4 || view.getUint32(0) !== LOG_MAGIC + 1,
    frames: Math.max(0, Math.floor((bytes.length - LOG_HEADER) / size)),
    at: (frame) => LOG_HEADER + (frame - 1) * size,
  }
}

export function readLogFile(bytes: Uint8Array, pageBytes = 4096): LogFile {
  const { view, little, frames, at } = layoutOf(bytes, pageBytes)
  const none: LogFile = { hasHeader: false, salt: '', valid: 0, beyond: [], sumOf: () => '' }
  if (bytes.length < LOG_HEADER) return none
  const s: [number, number] = [0, 0]
  sumOver(view, 0, 24, s, little)
  const hasHeader =
    (view.getUint32(0) & ~1) >>> 0 === LOG_MAGIC && view.getUint32(8) === pageBytes && holds(view, 24, s)
  const salt = hex(view, 16, 8)
  let valid = 0
  let n = 1
  for (; hasHeader && n <= frames; n++) {
    const start = at(n)
    if (hex(view, start + 8, 8) !== salt || view.getUint32(start) === 0) break
    sumOver(view, start, 8, s, little)
    sumOver(view, start + FRAME_HEADER, pageBytes, s, little)
    if (!holds(view, start + 16, s)) break
    if (view.getUint32(start + 4) !== 0) valid = n
  }
  const beyond: number[] = []
  for (; n <= frames; n++)
    if (hex(view, at(n) + 8, 8) === salt && view.getUint32(at(n) + 4) !== 0) beyond.push(n)
  return { hasHeader, salt, valid, beyond, sumOf: (f) => hex(view, at(f) + 16, 8) }
}
