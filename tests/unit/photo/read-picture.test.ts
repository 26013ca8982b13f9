import fc from '../../support/fast-check'
import { describe, expect, it } from 'vitest'
import { PHOTO_SIDE } from '@/lib/core/photo-limits'
import { readPicture, withoutExtras } from '@/lib/photo'
import { drawn, lookedAt } from '../../support/pictures'
import { must } from '../../support/must'

describe('reading a picture, judged by an independent image library', () => {
  it.each([false, true])('knows one (progressive: %s) by its own bytes', async (progressive) => {
    const read = must(readPicture(await drawn('jpeg', { width: 321, height: 123, progressive })))
    expect(read).toMatchObject({ width: 321, height: 123 })
  })

  it('leaves out what it tells and keeps every pixel', async () => {
    const told = await drawn('jpeg', { told: true })
    const before = await lookedAt(told)
    expect(before.told.exif).toBeDefined()
    expect(must(readPicture(told)).extras.length).toBeGreaterThan(0)
    const bare = must(withoutExtras(told))
    const after = await lookedAt(bare)
    expect(after.told).toEqual({ exif: undefined, icc: undefined, xmp: undefined })
    expect([after.width, after.height]).toEqual([before.width, before.height])
    expect(after.pixels.equals(before.pixels)).toBe(true)
    expect(must(readPicture(bare)).extras).toEqual([])
    expect(Buffer.from(bare).includes('A camera')).toBe(false)
  })

  it('leaves a picture that tells nothing as it is', async () => {
    const bare = must(withoutExtras(await drawn('jpeg')))
    expect(must(withoutExtras(bare))).toEqual(bare)
  })

  it('refuses one with more pixels than a photo here has, before anybody decodes it', async () => {
    const read = readPicture(await drawn('jpeg', { width: PHOTO_SIDE + 1, height: 8 }))
    expect(read.ok).toBe(false)
  })

  it('leaves out a head that carries more than a head', async () => {
    const bare = await drawn('jpeg')
    const fat = withHead(bare, [...ascii('JFIF\0'), 1, 1, 0, 0, 1, 0, 1, 1, 1, 20, 30, 40])
    const other = withHead(bare, [...ascii('JFXX\0'), 0x13, 1, 1, 20, 30, 40])
    const before = await lookedAt(bare)
    for (const picture of [fat, other]) {
      expect(must(readPicture(picture)).extras).toHaveLength(1)
      const without = must(withoutExtras(picture))
      expect(must(readPicture(without)).extras).toEqual([])
      expect((await lookedAt(without)).pixels.equals(before.pixels)).toBe(true)
    }
  })

  it('refuses one that has a frame and nothing in it', () => {
    const frame = [0xff, 0xc0, 0, 11, 8, 0, 16, 0, 16, 1, 1, 0x11, 0]
    expect(readPicture(new Uint8Array([0xff, 0xd8, ...frame, 0xff, 0xd9])).ok).toBe(false)
  })

  it('refuses one that is cut off anywhere', async () => {
    const whole = await drawn('jpeg', { width: 40, height: 30 })
    for (let n = 0; n < whole.length; n++)
      expect(readPicture(whole.subarray(0, n)).ok, `${n} bytes`).toBe(false)
  })

  it('refuses one with something behind it', async () => {
    const whole = await drawn('jpeg', { width: 40, height: 30 })
    const script = new TextEncoder().encode('<script>alert(1)</script>')
    expect(readPicture(new Uint8Array([...whole, ...script])).ok).toBe(false)
  })

  it('refuses other kinds of pictures, which every phone can make a JPEG of', async () => {
    expect(readPicture(await drawn('webp')).ok).toBe(false)
  })

  it.each([
    ['an SVG with a script', '<svg xmlns="http://www.w3.org/2000/svg"><script>1</script></svg>'],
    ['a page', '<!doctype html><title>x</title>'],
    ['a GIF', 'GIF89a\u0001\u0000\u0001\u0000'],
    ['nothing', ''],
  ])('refuses %s', (_what, content) => {
    expect(readPicture(new TextEncoder().encode(content)).ok).toBe(false)
  })

  it('ends and never throws, whatever the bytes are', async () => {
    const seeds = [
      await drawn('jpeg', { width: 24, height: 24, told: true }),
      await drawn('jpeg', { width: 24, height: 24, progressive: true }),
    ]
    fc.assert(
      fc.property(
        fc.constantFrom(...seeds),
        fc.array(fc.tuple(fc.nat(), fc.nat(255)), { minLength: 1, maxLength: 12 }),
        (seed, flips) => {
          const bytes = seed.slice()
          for (const [at, value] of flips) bytes[at % bytes.length] = value
          const out = withoutExtras(bytes)
          if (out.ok) expect(readPicture(out.value).ok).toBe(true)
        },
      ),
      { numRuns: 2000 },
    )
  })
})

const ascii = (s: string) => [...s].map((c) => c.charCodeAt(0))
/** The picture with one APP0 more, as its first part. */
const withHead = (picture: Uint8Array, content: readonly number[]) =>
  new Uint8Array([0xff, 0xd8, 0xff, 0xe0, 0, content.length + 2, ...content, ...picture.subarray(2)])
