import { expect, test } from 'vitest'
import { resultText } from '@/app/words/debrief-words'

test.each([
  [{ laps: 12, seconds: 302.4 }, '12 laps in 5:02.4'],
  [{ laps: 7, seconds: 164, ended: 'did-not-finish' as const }, 'did not finish, 7 laps in 2:44.0'],
  [{ laps: 7, seconds: 0, ended: 'did-not-finish' as const }, 'did not finish, 7 laps'],
  [
    { laps: 0, seconds: 0, ended: 'did-not-finish' as const, reason: 'broken arm' },
    'did not finish: broken arm',
  ],
  [{ laps: 0, seconds: 0, ended: 'did-not-start' as const }, 'did not start'],
])('%j reads %s', (result, text) => {
  expect(resultText(result)).toBe(text)
})
