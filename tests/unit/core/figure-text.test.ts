import { expect, test } from 'vitest'
import { figureText, withUnit } from '@/lib/core/figure-text'

test.each([
  [-1.5, { unit: '°' }, '−1.5°'],
  [85, { unit: '°C' }, '85°C'],
  [40, { unit: '°/s' }, '40°/s'],
  [5000, { unit: 'mAh' }, '5000 mAh'],
  [12500, { unit: 'cSt' }, '12,500 cSt'],
  [1234567.25, { digits: 1 }, '1,234,567.3'],
  [-0.04, { digits: 1 }, '0.0'],
  [-0, {}, '0'],
  [0.1 + 0.2, {}, '0.3'],
  [7, { digits: 2, unit: 'V' }, '7.00 V'],
  [Infinity, { unit: 'm' }, '–'],
])('%d with %o is %s', (value, options, text) => expect(figureText(value, options)).toBe(text))

test('text keeps its own form and takes a unit', () => {
  expect(withUnit('4.97', 'V')).toBe('4.97 V')
  expect(withUnit('12', '')).toBe('12')
})
