import { expect, test } from 'vitest'
import { titleWithoutCar } from '@/lib/card'

test.each([
  ['Rook: switch it off and on again', 'Switch it off and on again'],
  ['Rook, heat 5: no pack assigned', 'No pack assigned'],
  ['Rook, A final, heat 31: laps not entered', 'Laps not entered'],
  ['Rook, A final: laps not entered', 'Laps not entered'],
  ['Rook sent back by Maren', 'Sent back by Maren'],
  // Another car, a pack of that name, or a title without a separator.
  ['Rook 2: no pack assigned', 'Rook 2: no pack assigned'],
  ['Rook 1 assigned to Rook and Wren', 'Rook 1 assigned to Rook and Wren'],
  ['Wren: no pack assigned', 'Wren: no pack assigned'],
])('“%s”', (title, words) => expect(titleWithoutCar(title, 'Rook')).toBe(words))

test('a title of no car stays as it is', () =>
  expect(titleWithoutCar('The charge plan no longer works', '')).toBe('The charge plan no longer works'))
