import { expect, test } from 'vitest'
import { readSeconds } from '@/lib/core/read-seconds'

// By hand: minutes times 60 and the rest.
test.each([
  ['22.41', 22.41],
  ['22,410', 22.41],
  ['1:02.41', 62.41],
  ['5:02', 302],
  ['5:02.4', 302.4],
  ['302.4', 302.4],
  ['1:05:02.4', 3902.4],
  [' 0:59.999 ', 59.999],
])('%s is %d s', (text, seconds) => expect(readSeconds(text)).toBe(seconds))

test.each(['', 'DNF', '5:60.0', '5:2x', '1:60:02', '-22.4', '22.4 s', '1:2:3:4', '5.02.4'])(
  '“%s” is no time',
  (text) => expect(readSeconds(text)).toBeNull(),
)
