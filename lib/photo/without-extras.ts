import { ok, type Result } from '../core/result'
import { readPicture } from './read-picture'

/**
 * The same picture without what it says of place, camera and time: those parts are left out, the picture's own are kept as they are.
 * Refused when it is no whole picture. A WebP's head says which of them there are, and says so no more.
 */
export function withoutExtras(bytes: Uint8Array): Result<Uint8Array<ArrayBuffer>> {
  const read = readPicture(bytes)
  if (!read.ok) return read
  const { extras, type } = read.value
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
  if (type === 'image/webp') mendHead(out)
  return ok(out)
}

/** RFC 9649, 2.7: flags for color profile, Exif and XMP stand in VP8X, and the file's length in its head. */
function mendHead(out: Uint8Array<ArrayBuffer>): void {
  const data = new DataView(out.buffer)
  data.setUint32(4, out.length - 8, true)
  if (String.fromCharCode(...out.subarray(12, 16)) === 'VP8X') out[20] = (out[20] ?? 0) & ~0b00101100
}
