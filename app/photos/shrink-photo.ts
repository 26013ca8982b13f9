import { PHOTO_BYTES, PHOTO_SIDE, THUMB_BYTES, THUMB_SIDE, PHOTO_TYPE } from '@/lib/core/photo-limits'
import { ok, refuse, type Result } from '@/lib/core/result'
import { readPicture, withoutExtras } from '@/lib/photo'
import { hashOf } from './hash-of'

export interface Shrunk {
  hash: string
  type: typeof PHOTO_TYPE
  width: number
  height: number
  data: ArrayBuffer
}

const QUALITIES = [0.82, 0.7, 0.55, 0.4]
const SHRINKS = [1, 0.75, 0.55, 0.4]

/**
 * A photo as it is kept, and its thumbnail: drawn anew (upright, at most 1600 and 240 pixels long), so that nothing of what the camera wrote
 * beside the picture goes along.
 */
export async function shrinkPhoto(file: Blob): Promise<Result<{ photo: Shrunk; thumb: Shrunk }>> {
  let image: ImageBitmap
  try {
    image = await createImageBitmap(file, { imageOrientation: 'from-image' })
  } catch {
    return refuse(
      'Photo',
      '',
      'this browser can’t read the file as a picture',
      'Choose a JPEG, PNG or WebP picture.',
    )
  }
  try {
    const photo = await fitted(image, PHOTO_SIDE, PHOTO_BYTES)
    if (!photo.ok) return photo
    const thumb = await fitted(image, THUMB_SIDE, THUMB_BYTES)
    return thumb.ok ? ok({ photo: photo.value, thumb: thumb.value }) : thumb
  } finally {
    image.close()
  }
}

/** The best that fits into so many bytes: first less quality, then fewer pixels. */
async function fitted(image: ImageBitmap, side: number, bytes: number): Promise<Result<Shrunk>> {
  for (const shrink of SHRINKS) {
    const canvas = draw(image, side * shrink)
    for (const quality of QUALITIES) {
      const blob = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, PHOTO_TYPE, quality))
      if (!blob) break
      const bare = withoutExtras(new Uint8Array(await blob.arrayBuffer()))
      if (!bare.ok) return bare
      if (bare.value.length <= bytes) return described(bare.value)
    }
  }
  return refuse('Photo', '', 'this browser can’t make it small enough', 'Choose one with fewer pixels.')
}

function draw(image: ImageBitmap, side: number): HTMLCanvasElement {
  const scale = Math.min(1, side / Math.max(image.width, image.height))
  const canvas = document.createElement('canvas')
  canvas.width = Math.max(1, Math.floor(image.width * scale))
  canvas.height = Math.max(1, Math.floor(image.height * scale))
  const context = canvas.getContext('2d')
  if (!context) return canvas
  // A JPEG has no holes: what shines through is paper.
  context.fillStyle = '#fff'
  context.fillRect(0, 0, canvas.width, canvas.height)
  context.imageSmoothingQuality = 'high'
  context.drawImage(image, 0, 0, canvas.width, canvas.height)
  return canvas
}

function described(bytes: Uint8Array<ArrayBuffer>): Result<Shrunk> {
  const read = readPicture(bytes)
  if (!read.ok) return read
  const { width, height } = read.value
  return ok({ hash: hashOf(bytes), type: PHOTO_TYPE, width, height, data: bytes.buffer })
}
