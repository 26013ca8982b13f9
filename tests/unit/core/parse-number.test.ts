import fc from '../../support/fast-check'
import { describe, expect, it, test } from 'vitest'
import { pointsWords } from '@/app/record/points-words'
import { parseNumber, rangeHintText, rangeText, stepNumber, tidy } from '@/lib/core/parse-number'

const value = (text: string, range = {}) => {
  const r = parseNumber('Pinion', text, range)
  return r.ok ? r.value : r.error
}

describe('a number as typed', () => {
  it.each([
    ['23', 23],
    [' 3,5 ', 3.5],
    ['3.5', 3.5],
    ['.5', 0.5],
    ['-2', -2],
    ['−2', -2],
    ['', null],
    ['   ', null],
    ['0010', 10],
  ])('%j is %j', (text, expected) => expect(value(text)).toBe(expected))

  it.each(['1.000,5', '1,000.5', '2 3', '23t', 'abc', '1e3', '--1', 'NaN', 'Infinity', '٣'])(
    '%j is refused with field, value, reason and remedy',
    (text) => {
      expect(value(text)).toMatchObject({ field: 'Pinion', value: text, reason: 'is not a number' })
    },
  )

  it('a comma is a decimal comma, never a thousand', () => {
    expect(value('1,000')).toBe(1)
    expect(value('3,5', { min: 0, max: 10 })).toBe(3.5)
  })

  it('out of range names the range', () => {
    expect(value('60', { min: 8, max: 50, unit: 't' })).toMatchObject({
      reason: 'is out of range',
      remedy: 'Enter a number from 8 to 50 t.',
    })
  })

  it('off the step’s grid names the two nearest', () => {
    expect(value('0.07', { min: 0, max: 1, step: 0.05, unit: 's' })).toMatchObject({
      remedy: 'Enter 0.05 or 0.1 s.',
    })
    expect(value('0.15', { min: 0, max: 1, step: 0.05 })).toBe(0.15)
  })

  it('every number that is shown is read back as itself', () => {
    fc.assert(
      fc.property(fc.integer({ min: -1e9, max: 1e9 }), fc.integer({ min: 0, max: 4 }), (n, digits) => {
        const x = n / 10 ** digits
        expect(value(tidy(x))).toBe(Number(tidy(x)))
      }),
    )
  })

  it('stepping stays in range and on the grid', () => {
    expect(stepNumber(0.1, 1, { min: 0, max: 1, step: 0.1 })).toBe(0.2)
    expect(stepNumber(0.3, -1, { min: 0, max: 1, step: 0.1 })).toBe(0.2)
    expect(stepNumber(1, 1, { min: 0, max: 1, step: 0.1 })).toBe(1)
    expect(stepNumber(null, 1, { min: 8, max: 50, step: 1 })).toBe(8)
    expect(stepNumber(null, 1, {})).toBe(0)
  })

  it('ranges in words', () => {
    expect(rangeText({ min: 0 })).toBe('0 or more')
    expect(rangeText({ max: 4.2, unit: 'V' })).toBe('4.2 V or less')
  })
})

test('a range is a hint only where it tells something', () => {
  expect(rangeHintText({ min: 5, max: 60, unit: 'mm' })).toBe('from 5 to 60 mm')
  expect(rangeHintText({ min: 0, max: 20000 })).toBe('from 0 to 20000')
  expect(rangeHintText({ min: -1e6, max: 1e6 })).toBe('')
  expect(rangeHintText({ min: 0, max: 1e6 })).toBe('')
  expect(rangeHintText({ min: 1 })).toBe('')
})

test('a points table says which way it counts', () => {
  expect(pointsWords([20, 17, 15])).toBe('Falling: the most points win.')
  expect(pointsWords([0, 2, 3])).toBe('Rising: the fewest points win.')
  for (const open of [[], [1], [5, 5]]) expect(pointsWords(open)).toMatch(/Falling points.*Rising points/)
})
