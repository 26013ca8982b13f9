import { afterEach, expect, test } from 'vitest'
import fc from '../../support/fast-check'
import { deviceZone, hereAs } from '@/lib/core/zone'

const zone = process.env['TZ']
afterEach(() => {
  if (zone === undefined) delete process.env['TZ']
  else process.env['TZ'] = zone
})
const ZONES = [
  'Europe/Berlin',
  'America/Los_Angeles',
  'America/Santiago',
  'Asia/Kolkata',
  'Pacific/Kiritimati',
  'Pacific/Pago_Pago',
  'UTC',
]
const shown = (at: number) => {
  const d = new Date(at)
  return [d.getFullYear(), d.getMonth() + 1, d.getDate()].join('-')
}

test('a day that was written in one zone is the same day in any other', () => {
  const day = fc.record({ y: fc.integer({ min: 2000, max: 2099 }), d: fc.integer({ min: 1, max: 365 }) })
  fc.assert(
    fc.property(day, fc.constantFrom(...ZONES), fc.constantFrom(...ZONES), ({ y, d }, there, here) => {
      process.env['TZ'] = there
      // As it calls itself: some have two names.
      const own = deviceZone()
      const midnight = new Date(y, 0, d).getTime()
      const written = shown(midnight)
      expect(hereAs(midnight, own)).toBe(midnight)
      process.env['TZ'] = here
      expect(shown(hereAs(midnight, own))).toBe(written)
    }),
  )
})

test('without a zone, or with one that nobody knows, an instant is what it was', () => {
  for (const none of [undefined, null, '', 'Nowhere/Atall']) expect(hereAs(1_000, none)).toBe(1_000)
})
