import fc from '../../support/fast-check'
import { expect, test } from 'vitest'
import { addressOf, PAGE, questionIn, withFilter } from '@/app/season/season-address'
import { SEASON_SIDES, type SeasonSide } from '@/lib/season'

test('any question comes back from its address', () => {
  const text = fc.string({ minLength: 1, maxLength: 20 })
  const key = fc.option(text.map((t) => `m/${t}`))
  const question = fc.record({
    filter: fc.dictionary(fc.constantFrom(...SEASON_SIDES), text, { noNullPrototype: true }),
    search: fc.string({ maxLength: 40 }),
    side: fc.constantFrom<SeasonSide>(...SEASON_SIDES),
    most: fc.integer({ min: PAGE, max: 10_000 }),
    pair: fc.tuple(key, key),
  })
  fc.assert(
    fc.property(question, (q) => {
      expect(questionIn(new URLSearchParams(addressOf(q)))).toEqual(q)
    }),
  )
})

test('an address that nobody made asks for what can be asked', () => {
  const q = questionIn(new URLSearchParams('?by=nonsense&most=-3&car=&find=pinion+22'))
  expect(q).toEqual({ filter: {}, search: 'pinion 22', side: 'car', most: PAGE, pair: [null, null] })
  expect(addressOf(questionIn(new URLSearchParams('')))).toBe('')
})

test('another filter begins at the top, and null takes it away', () => {
  const q = questionIn(new URLSearchParams('?car=rook&most=120'))
  expect(withFilter(q, 'track', 'bowl')).toMatchObject({ filter: { car: 'rook', track: 'bowl' }, most: PAGE })
  expect(withFilter(q, 'car', null).filter).toEqual({})
})
