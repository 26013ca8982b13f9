import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { DIGIT_BOXES, digitWidth } from '@/app/ui/digit-width'
import { countdownText } from '@/app/ui/time-text'

const SHEET = readFileSync(new URL('../../../app/ui/styles/ticket.css', import.meta.url), 'utf8')
/** The width that the style sheet gives a box, in signs. */
const inSheet = (box: string) =>
  Number(
    new RegExp(
      `\\.countdown > \\.num${box === 'usual' ? '' : `\\[data-width='${box}'\\]`} \\{[^}]*min-inline-size: (\\d+)ch`,
    ).exec(SHEET)?.[1],
  )

test.each(Object.entries(DIGIT_BOXES))('the box %s is as wide as the style sheet makes it', (box, signs) =>
  expect(inSheet(box)).toBe(signs),
)

test('whatever a countdown says fits into its box, from three days before to three days after', () => {
  const to = Date.UTC(2026, 9, 22, 10)
  const faces = new Set<string>()
  for (const passed of ['ago', 'over', 'late'] as const)
    for (const tenths of [true, false])
      for (let ms = -3 * 86_400_000; ms <= 3 * 86_400_000; ms += 6_700)
        faces.add(countdownText(ms, to, { tenths, passed }))
  expect(faces.size).toBeGreaterThan(1000)
  expect([...faces].filter((f) => f.length > DIGIT_BOXES[digitWidth(f) ?? 'usual'])).toEqual([])
})
