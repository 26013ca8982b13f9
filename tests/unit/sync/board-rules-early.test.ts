import { expect, test } from 'vitest'
import { boardRules, type BoardReader } from '@/server/sync/guard-rules'

const early = boardRules.early!
/** A board without the run, so nothing rests on what it has. */
const empty: BoardReader = { field: () => undefined, ids: () => [] }

test('[S4] an accept is known by the digest that it covers, and nothing else is looked at', () => {
  expect(early.isOne({ by: 'dana', at: 5, covers: 'digest' })).toBe(true)
  for (const other of [
    { by: 'dana', at: 5 },
    { covers: 5 },
    { covers: null },
    null,
    undefined,
    'covers',
    5,
    true,
    [],
  ])
    expect(early.isOne(other)).toBe(false)
})

test('[S4] an accept of a board that is not there is early; one that covers nothing never is', () => {
  expect(early.isEarly(empty, 'run', { by: 'dana', covers: 'digest' })).toBe(true)
  expect(early.isEarly(empty, 'run', { by: 'dana' })).toBe(false)
  expect(early.isEarly(empty, 'run', null)).toBe(false)
  expect(early.isEarly(empty, 'run', 'digest')).toBe(false)
})
