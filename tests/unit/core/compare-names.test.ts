import { expect, test } from 'vitest'
import { compareNames } from '@/lib/core/compare-names'

test('packs and cars sort as people count', () => {
  const sorted = ['P12', 'P2', 'P1', 'P10', 'Car 9', 'Car 10'].sort(compareNames)
  expect(
    (['P12', undefined, 'P2'] as (string | undefined)[]).reduce(
      (n, a) => n + Number(compareNames(a, 'P3') > 0),
      0,
    ),
  ).toBe(2)
  expect(sorted).toEqual(['Car 9', 'Car 10', 'P1', 'P2', 'P10', 'P12'])
})
