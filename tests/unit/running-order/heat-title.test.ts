import { expect, test } from 'vitest'
import { heatName } from '@/lib/board'
import { heatTitleText } from '@/lib/running-order'

const title = (className: string, label: string, number?: number) =>
  heatTitleText({
    heatId: 'h',
    round: 'Round 1',
    className,
    name: heatName({ label, ...(number !== undefined && { number }) }, className),
  })

test.each([
  ['2WD Modified', '2WD Modified, heat 1', 5, 'Round 1, 2WD Modified, heat 5'],
  ['2WD Modified', '2wd modified heat 1', 1, 'Round 1, 2WD Modified, heat 1'],
  ['2WD Modified', 'Heat 7', 7, 'Round 1, 2WD Modified, heat 7'],
  ['4WD Stock', '4WD Stock, A final, leg 2', 31, 'Round 1, 4WD Stock, A final, leg 2, heat 31'],
  ['4WD Stock', 'A final', 1, 'Round 1, 4WD Stock, A final'],
  ['4WD Stock', 'B main', 2, 'Round 1, 4WD Stock, B main'],
  ['4WD Stock', '', 3, 'Round 1, 4WD Stock, heat 3'],
  ['4WD Stock', '4WD Stock, heat 3', undefined, 'Round 1, 4WD Stock, heat 3'],
  ['', 'Last chance', undefined, 'Round 1, Last chance'],
])(
  'a heat of %s called “%s”, number %s, has its class once and one number',
  (className, label, number, said) => {
    expect(title(className, label, number)).toBe(said)
  },
)

test('a break is called by its label alone', () => {
  expect(heatName({ label: 'Lunch', number: 0, isBreak: true })).toBe('Lunch')
})
