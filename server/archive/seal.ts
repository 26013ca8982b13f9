import { createHash } from 'node:crypto'
import { open } from 'node:fs/promises'
import { Transform, type TransformCallback } from 'node:stream'
import { ok, refuse, type Result } from '@/lib/core/result'

/** A zip's last record without its comment: APPNOTE.TXT, 4.3.16 (end of central directory record), 22 bytes, the comment's length at the end. */
const END_BYTES = 22
const LABEL = 'sha256:'
const COMMENT_BYTES = LABEL.length + 64

/**
 * Puts the SHA-256 of everything before it into the comment of the zip that runs through. The zip's own checksums leave out its headers: with the
 * seal no byte of the file can change unnoticed.
 */
export class Seal extends Transform {
  readonly #hash = createHash('sha256')
  #tail: Buffer = Buffer.alloc(0)
  /** Bytes that have come out. */
  bytes = 0

  override _transform(chunk: Buffer, _encoding: BufferEncoding, done: TransformCallback): void {
    const all = Buffer.concat([this.#tail, chunk])
    const whole = Math.max(0, all.length - END_BYTES)
    this.#tail = all.subarray(whole)
    this.#out(all.subarray(0, whole))
    done()
  }

  override _flush(done: TransformCallback): void {
    const end = Buffer.from(this.#tail)
    end.writeUInt16LE(COMMENT_BYTES, END_BYTES - 2)
    this.#out(end)
    const comment = Buffer.from(LABEL + this.#hash.digest('hex'), 'latin1')
    this.bytes += comment.length
    this.push(comment)
    done()
  }

  #out(bytes: Buffer): void {
    if (bytes.length === 0) return
    this.#hash.update(bytes)
    this.bytes += bytes.length
    this.push(bytes)
  }
}

const refuseFile = (reason: string): Result<never> =>
  refuse('Archive', '', reason, 'Nothing was changed. Make it again, or take another copy of it.')

/** Whether a file is whole, byte by byte, as it was sealed; gives its seal. Reads it once, a piece at a time. */
export async function checkSeal(file: string): Promise<Result<string>> {
  const handle = await open(file, 'r')
  try {
    const { size } = await handle.stat()
    const head = Buffer.alloc(4)
    await handle.read(head, 0, 4, 0)
    if (size < END_BYTES + COMMENT_BYTES || head.readUInt32LE(0) !== 0x04034b50)
      return refuseFile('it is not an archive of a board')
    const comment = Buffer.alloc(COMMENT_BYTES)
    await handle.read(comment, 0, COMMENT_BYTES, size - COMMENT_BYTES)
    const found = comment.toString('latin1')
    if (!/^sha256:[0-9a-f]{64}$/.test(found))
      return refuseFile('it is cut off, or another program has repacked it: its seal is missing')
    const hash = createHash('sha256')
    const piece = Buffer.alloc(256 * 1024)
    for (let at = 0; at < size - COMMENT_BYTES;) {
      const { bytesRead } = await handle.read(piece, 0, Math.min(piece.length, size - COMMENT_BYTES - at), at)
      if (bytesRead === 0) return refuseFile('it is cut off')
      hash.update(piece.subarray(0, bytesRead))
      at += bytesRead
    }
    const seal = hash.digest('hex')
    return found === LABEL + seal
      ? ok(seal)
      : refuseFile('it is damaged: its bytes are not those that were sealed')
  } finally {
    await handle.close()
  }
}
