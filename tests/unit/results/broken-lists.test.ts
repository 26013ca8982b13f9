import { expect, test } from 'vitest'
import { checkField } from '@/lib/board'
import { planList, readList } from '@/lib/results'
import { firstRound, raceMeeting, resultFile } from '../../support/results-board'
import { drawsFrom } from '../../support/seeded-draws'

const FILES: readonly [string, number | undefined][] = [
  ['saltmarsh-q1-round.csv', undefined],
  ['saltmarsh-heat-7.tsv', 7],
  ['saltmarsh-heats-2-3.txt', undefined],
  ['saltmarsh-laps-heat-7.csv', 7],
  ['saltmarsh-laps-heat-2.tsv', 2],
  ['saltmarsh-laps-in-one-cell.txt', undefined],
]

/** A random piece cut out of a text, or a random character put into it. */
function broken(text: string, draw: () => number): string {
  const at = Math.floor(draw() * text.length)
  const end = Math.min(text.length, at + 1 + Math.floor(draw() * draw() * 400))
  const junk = ['', '"', '\u0000', ';;;', '\n\n', 'x', '99:99', '﻿'][Math.floor(draw() * 8)] ?? ''
  return text.slice(0, at) + junk + text.slice(end)
}

test('100 random cuts of good lists: words with a line of the file, never a crash, never a value that no board holds', () => {
  const b = raceMeeting()
  const { between } = drawsFrom(2031)
  const draw = () => Math.min(0.999, between(0, 1))
  let problems = 0
  let writes = 0
  for (let n = 0; n < 100; n++) {
    const [name, heat] = FILES[n % FILES.length]!
    const text = broken(resultFile(name), draw)
    const read = readList(text)
    if (!read.ok) {
      expect(read.error.reason.length, `cut ${n}`).toBeGreaterThan(5)
      continue
    }
    const lines = text.split('\n').length
    const plan = planList(b.view(), read.value.list, firstRound(b, heat))
    for (const p of plan.problems) {
      problems++
      expect(p.line, `cut ${n}: ${p.reason}`).toBeGreaterThanOrEqual(1)
      expect(p.line, `cut ${n}: ${p.reason}`).toBeLessThanOrEqual(lines)
      expect(`${p.field} ${p.reason} ${p.remedy}`, `cut ${n}`).not.toMatch(/undefined|NaN|\[object/)
    }
    const stamp = { by: 'petra-amsel', at: Date.UTC(2026, 8, 12) }
    for (const w of plan.writes) {
      writes++
      expect(checkField('meeting', 'runs', w.field, { v: w.value, ...stamp }), `cut ${n}`).toMatchObject({
        ok: true,
      })
    }
  }
  // The cuts do break rows, and leave others whole.
  expect(writes).toBeGreaterThan(100)
  expect(problems).toBeGreaterThan(20)
})
