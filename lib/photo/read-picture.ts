import { ok, refuse, type Result } from '../core/result'
import { PHOTO_SIDE } from '../core/photo-limits'

/** A picture's parts that its file names. Positions are bytes from the start. */
export interface Picture {
  width: number
  height: number
  /** Parts that say something about the picture (place, camera, comments) and show nothing of it. */
  extras: readonly { from: number; to: number }[]
}

const refusePicture = (reason: string): Result<never> => refuse('Photo', '', reason, 'Choose another one.')

const CUT = 'it is cut off or damaged'

/** Markers without a length: TEM and the restarts, which stand between scans only. */
const isBare = (marker: number) => marker === 0x01 || (marker >= 0xd0 && marker <= 0xd7)
/** Frame headers: baseline, extended, progressive. Lossless and arithmetic ones are shown by no browser. */
const isFrame = (marker: number) => marker === 0xc0 || marker === 0xc1 || marker === 0xc2
/** What browsers need beside the picture: a plain JFIF head without a thumbnail (T.871, 10.1), and which colors the components are (T.872, 6.5.3). */
const NEEDED = new Map([
  [0xe0, { name: 'JFIF\0', length: 18 }],
  [0xee, { name: 'Adobe', length: 16 }],
])

/** Application data and comments that are not needed to show the picture. */
function isExtra(bytes: Uint8Array, marker: number, from: number, end: number): boolean {
  if (marker !== 0xfe && (marker < 0xe0 || marker > 0xef)) return false
  const needed = NEEDED.get(marker)
  const name = String.fromCharCode(...bytes.subarray(from + 4, from + 9))
  return needed?.name !== name || end - from !== needed.length
}

/**
 * Read what a file is, from its own bytes alone: a JPEG (ITU-T T.81), whole from its first byte to its last, no larger than a photo here may
 * be. What its name or sender calls it does not count.
 */
export function readPicture(bytes: Uint8Array): Result<Picture> {
  if (bytes[0] !== 0xff || bytes[1] !== 0xd8) return refusePicture('it is no JPEG picture')
  const data = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const extras: { from: number; to: number }[] = []
  let size: { width: number; height: number } | null = null
  let hasScan = false
  let at = 2
  for (;;) {
    if (at + 2 > bytes.length || bytes[at] !== 0xff) return refusePicture(CUT)
    const marker = bytes[at + 1] ?? 0
    if (marker === 0xff) {
      at++
      continue
    }
    if (marker === 0xd9) break
    if (isBare(marker)) {
      at += 2
      continue
    }
    if (at + 4 > bytes.length) return refusePicture(CUT)
    const end = at + 2 + data.getUint16(at + 2)
    if (end < at + 4 || end > bytes.length) return refusePicture(CUT)
    if (isExtra(bytes, marker, at, end)) extras.push({ from: at, to: end })
    if (isFrame(marker)) {
      if (size || end < at + 9) return refusePicture(CUT)
      size = { height: data.getUint16(at + 5), width: data.getUint16(at + 7) }
    }
    hasScan ||= marker === 0xda
    at = marker === 0xda ? endOfScan(bytes, end) : end
  }
  if (!size || !hasScan || size.width < 1 || size.height < 1) return refusePicture(CUT)
  if (at + 2 !== bytes.length) return refusePicture('there is more in the file than the picture')
  if (size.width > PHOTO_SIDE || size.height > PHOTO_SIDE)
    return refusePicture(
      `it has ${size.width} × ${size.height} pixels, and ${PHOTO_SIDE} is the longest side there is`,
    )
  return ok({ ...size, extras })
}

/** Where the next marker stands behind a scan's data, in which 0xff is followed by 0 or a restart. */
function endOfScan(bytes: Uint8Array, from: number): number {
  let at = from
  for (;;) {
    at = bytes.indexOf(0xff, at)
    if (at < 0) return bytes.length
    const next = bytes[at + 1] ?? 0
    if (next !== 0 && next !== 0xff && !(next >= 0xd0 && next <= 0xd7)) return at
    at += next === 0xff ? 1 : 2
  }
}
