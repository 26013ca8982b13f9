import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { PHOTO_SIDE } from '@/lib/core/photo-limits'
import { readPicture, withoutExtras } from '@/lib/photo'
import { drawn, lookedAt } from '../../support/pictures'
import { must } from '../../support/must'

describe('reading a picture, judged by an independent image library', () => {
  it.each([
    ['jpeg', false],
    ['jpeg', true],
    ['webp', false],
  ] as const)('knows a %s (progressive: %s) by its own bytes', async (type, progressive) => {
    const read = must(readPicture(await drawn(type, { width: 321, height: 123, progressive })))
    expect(read).toMatchObject({ type: `image/${type}`, width: 321, height: 123 })
  })

  it.each(['jpeg', 'webp'] as const)('leaves out what a %s tells and keeps every pixel', async (type) => {
    const told = await drawn(type, { told: true })
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

  it.each(['jpeg', 'webp'] as const)('refuses a %s that is cut off anywhere', async (type) => {
    const whole = await drawn(type, { width: 40, height: 30 })
    for (let n = 0; n < whole.length; n++)
      expect(readPicture(whole.subarray(0, n)).ok, `${n} bytes`).toBe(false)
  })

  it.each(['jpeg', 'webp'] as const)('refuses a %s with something behind it', async (type) => {
    const whole = await drawn(type, { width: 40, height: 30 })
    const script = new TextEncoder().encode('<script>alert(1)</script>')
    expect(readPicture(new Uint8Array([...whole, ...script])).ok).toBe(false)
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
      await drawn('webp', { width: 24, height: 24, told: true }),
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
