import { ok, refuse, type Result } from '../core/result'
import { PHOTO_SIDE, type PhotoType } from '../core/photo-limits'

/** A picture's parts that its file names. Positions are bytes from the start. */
export interface Picture {
  type: PhotoType
  width: number
  height: number
  /** Parts that say something about the picture (place, camera, comments) and show nothing of it. */
  extras: readonly { from: number; to: number }[]
}

const refusePicture = (reason: string): Result<never> => refuse('Photo', '', reason, 'Choose another one.')

/**
 * Read what a file is, from its own bytes alone: JPEG (ITU-T T.81, JFIF in ITU-T T.871) or WebP (RFC 9649), whole from its first byte to its
 * last, no larger than a photo here may be. What its name or sender calls it does not count.
 */
export function readPicture(bytes: Uint8Array): Result<Picture> {
  if (bytes[0] === 0xff && bytes[1] === 0xd8) return readJpeg(bytes)
  if (text(bytes, 0, 4) === 'RIFF' && text(bytes, 8, 12) === 'WEBP') return readWebp(bytes)
  return refusePicture('it is neither a JPEG nor a WebP picture')
}

const text = (bytes: Uint8Array, from: number, to: number) => String.fromCharCode(...bytes.subarray(from, to))
const view = (bytes: Uint8Array) => new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
const CUT = 'it is cut off or damaged'

function sized(type: PhotoType, width: number, height: number, extras: Picture['extras']): Result<Picture> {
  if (width < 1 || height < 1) return refusePicture(CUT)
  if (width > PHOTO_SIDE || height > PHOTO_SIDE)
    return refusePicture(`it has ${width} × ${height} pixels, and ${PHOTO_SIDE} is the longest side there is`)
  return ok({ type, width, height, extras })
}

/** Markers without a length: TEM and the restarts, which stand between scans only. */
const isBare = (marker: number) => marker === 0x01 || (marker >= 0xd0 && marker <= 0xd7)
/** Frame headers: baseline, extended, progressive. Lossless and arithmetic ones are shown by no browser. */
const isFrame = (marker: number) => marker === 0xc0 || marker === 0xc1 || marker === 0xc2
/** APP0 (JFIF) and APP14 (which colors the components are) are needed to show the picture; other application data and comments are not. */
const isExtra = (marker: number) => marker === 0xfe || (marker >= 0xe1 && marker <= 0xef && marker !== 0xee)

function readJpeg(bytes: Uint8Array): Result<Picture> {
  const data = view(bytes)
  const extras: { from: number; to: number }[] = []
  let size: { width: number; height: number } | null = null
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
    if (isExtra(marker)) extras.push({ from: at, to: end })
    if (isFrame(marker)) {
      if (size || end < at + 9) return refusePicture(CUT)
      size = { height: data.getUint16(at + 5), width: data.getUint16(at + 7) }
    }
    at = marker === 0xda ? endOfScan(bytes, end) : end
  }
  if (!size) return refusePicture(CUT)
  if (at + 2 !== bytes.length) return refusePicture('there is more in the file than the picture')
  return sized('image/jpeg', size.width, size.height, extras)
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

const WEBP_EXTRAS = new Set(['EXIF', 'XMP ', 'ICCP'])
const WEBP_SHOWN = new Set(['VP8 ', 'VP8L', 'ALPH'])

function readWebp(bytes: Uint8Array): Result<Picture> {
  if (bytes.length < 20) return refusePicture(CUT)
  const data = view(bytes)
  if (data.getUint32(4, true) + 8 !== bytes.length) return refusePicture(CUT)
  const extras: { from: number; to: number }[] = []
  let size: { width: number; height: number } | null = null
  for (let at = 12; at < bytes.length;) {
    if (at + 8 > bytes.length) return refusePicture(CUT)
    const name = text(bytes, at, at + 4)
    const from = at + 8
    const length = data.getUint32(at + 4, true)
    const end = from + length + (length % 2)
    if (end > bytes.length) return refusePicture(CUT)
    if (name === 'VP8X') {
      // The canvas is only told here; the picture itself comes in its own part. Moving pictures are none.
      if (at !== 12 || length !== 10) return refusePicture(CUT)
      if (((bytes[from] ?? 0) & 0b10) !== 0) return refusePicture('it moves')
    } else if (name === 'VP8 ' || name === 'VP8L') {
      if (size) return refusePicture(CUT)
      size = name === 'VP8 ' ? lossySize(bytes, from, length) : losslessSize(bytes, from, length)
      if (!size) return refusePicture(CUT)
    } else if (WEBP_EXTRAS.has(name)) extras.push({ from: at, to: end })
    else if (!WEBP_SHOWN.has(name)) return refusePicture('there is more in the file than the picture')
    at = end
  }
  return size ? sized('image/webp', size.width, size.height, extras) : refusePicture(CUT)
}

/** RFC 6386, 9.1: a key frame's start code, then 14 bits each of width and height. */
function lossySize(bytes: Uint8Array, at: number, length: number) {
  if (length < 10 || ((bytes[at] ?? 1) & 1) !== 0) return null
  if (bytes[at + 3] !== 0x9d || bytes[at + 4] !== 0x01 || bytes[at + 5] !== 0x2a) return null
  const data = view(bytes)
  return { width: data.getUint16(at + 6, true) & 0x3fff, height: data.getUint16(at + 8, true) & 0x3fff }
}

/** RFC 9649, 3.4: a signature, then 14 bits each of width and height, less one. */
function losslessSize(bytes: Uint8Array, at: number, length: number) {
  if (length < 5 || bytes[at] !== 0x2f) return null
  const bits = view(bytes).getUint32(at + 1, true)
  return { width: (bits & 0x3fff) + 1, height: ((bits >>> 14) & 0x3fff) + 1 }
}
