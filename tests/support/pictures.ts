import { createHash } from 'node:crypto'
import sharp from 'sharp'

export const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex')

/** A picture with something in it, made by an image library that has nothing to do with ours. `seed` makes it another one. */
export async function drawn(
  type: 'jpeg' | 'webp',
  t: { width?: number; height?: number; seed?: number; told?: boolean; progressive?: boolean } = {},
): Promise<Uint8Array> {
  const { width = 320, height = 240, seed = 1, told = false, progressive = false } = t
  const raw = Buffer.alloc(width * height * 3)
  for (let i = 0; i < raw.length; i++) raw[i] = (i * 7 * seed + Math.floor(i / width) * 3) & 0xff
  let image = sharp(raw, { raw: { width, height, channels: 3 } })
  if (told)
    image = image
      .withMetadata({ density: 72 })
      .withExif({ IFD0: { Copyright: 'A person', Make: 'A camera' }, IFD3: { GPSLatitude: '51/1 30/1 0/1' } })
  const made = type === 'jpeg' ? image.jpeg({ quality: 70, progressive }) : image.webp({ quality: 70 })
  return new Uint8Array(await made.toBuffer())
}

/** Its pixels, as that library reads them, and what it finds beside them. */
export async function lookedAt(bytes: Uint8Array) {
  const [pixels, facts] = await Promise.all([sharp(bytes).raw().toBuffer(), sharp(bytes).metadata()])
  return {
    pixels,
    width: facts.width,
    height: facts.height,
    told: { exif: facts.exif, icc: facts.icc, xmp: facts.xmp },
  }
}
