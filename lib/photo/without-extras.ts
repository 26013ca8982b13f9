import { ok, type Result } from '../core/result'
import { readPicture } from './read-picture'

/**
 * The same picture without what it says of place, camera and time: those parts are left out, the picture's own are kept as they are.
 * Refused when it is no whole picture.
 */
export function withoutExtras(bytes: Uint8Array): Result<Uint8Array<ArrayBuffer>> {
  const read = readPicture(bytes)
  if (!read.ok) return read
  const { extras } = read.value
  const parts: Uint8Array[] = []
  let at = 0
  for (const { from, to } of extras) {
    parts.push(bytes.subarray(at, from))
    at = to
  }
  parts.push(bytes.subarray(at))
  const out = new Uint8Array(parts.reduce((n, p) => n + p.length, 0))
  let to = 0
  for (const part of parts) {
    out.set(part, to)
    to += part.length
  }
  return ok(out)
}
