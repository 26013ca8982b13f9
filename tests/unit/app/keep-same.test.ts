import { expect, test } from 'vitest'
import fc from '../../support/fast-check'
import { keepSame } from '@/app/season/keep-same'

test('what says the same is the object that it was, wherever its row stands now', () => {
  const before = {
    rows: [
      { key: 'a', texts: ['x'] },
      { key: 'b', texts: [] },
    ],
    groups: [{ id: null, percents: [1, 2] }],
  }
  const after = keepSame(before, {
    rows: [
      { key: 'c', texts: ['x'] },
      { key: 'b', texts: [] },
      { key: 'a', texts: ['y'] },
    ],
    groups: [{ id: null, percents: [1, 2] }],
  })
  expect(after.rows[1]).toBe(before.rows[1])
  expect(after.rows[0]).not.toBe(before.rows[0])
  expect(after.rows[2]).toEqual({ key: 'a', texts: ['y'] })
  expect(after.groups).toBe(before.groups)
  expect(keepSame(before, structuredClone(before))).toBe(before)
})

test('whatever was there before, it says what the next one says', () => {
  const value = fc.oneof(
    fc.jsonValue({ maxDepth: 4 }),
    fc.array(fc.record({ key: fc.constantFrom('a', 'b', 'c'), n: fc.integer({ max: 3 }) })),
  )
  fc.assert(
    fc.property(value, value, (before, next) => {
      expect(keepSame(structuredClone(before), structuredClone(next))).toEqual(next)
    }),
  )
})
