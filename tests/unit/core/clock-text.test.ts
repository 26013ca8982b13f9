import fc from '../../support/fast-check'
import { expect, test } from 'vitest'
import { clockText } from '@/lib/core/clock-text'

test.each([
  [239.96, 1, '4:00.0'],
  [299.94, 1, '4:59.9'],
  [179.6, 0, '3:00'],
  [59.5, 0, '1:00'],
  [0, 1, '0:00.0'],
  [7.25, 2, '0:07.25'],
  [3599.999, 3, '59:59.999'],
  [-90, 0, '−1:30'],
  [-0.01, 0, '0:00'],
  [NaN, 1, '–'],
])('%s s with %i digits is %s', (seconds, digits, said) => {
  expect(clockText(seconds, digits)).toBe(said)
})

test('no clock ever shows a second of 60, and what it shows is within half of its last digit', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0, max: 20_000, noNaN: true }),
      fc.integer({ min: 0, max: 3 }),
      (seconds, digits) => {
        const [, m, s] = /^(\d+):(\d\d(?:\.\d+)?)$/.exec(clockText(seconds, digits)) ?? []
        expect(Number(s)).toBeLessThan(60)
        expect(Math.abs(Number(m) * 60 + Number(s) - seconds)).toBeLessThanOrEqual(0.5 / 10 ** digits + 1e-9)
      },
    ),
  )
})
