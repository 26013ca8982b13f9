import { expect, test } from 'vitest'
import { TEST_EXAMPLE, verdictText } from '@/app/tools/ab-test-ticket'
import { parseTestRuns } from '@/app/tools/parse-test-runs'
import { judgeTest, sideOfRun } from '@/lib/learning'

test('a line is a run: its side, its laps without the first and a crash', () => {
  const { lines, runs, problems } = parseTestRuns(
    'a 24 22.3 22.5 22.4\n\nB: 24, 22.0; 31.0 22.2 22.1\nB 24 22',
  )
  expect(problems).toEqual([])
  expect(lines.map((l) => [l.side, l.counted, l.leftOut])).toEqual([
    ['A', 3, 1],
    ['B', 3, 2],
    ['B', 0, 2],
  ])
  expect(runs.map((r) => [r.side, r.at])).toEqual([
    ['A', 0],
    ['B', 1],
  ])
})

test('runs behind tires and pack are read before the laps, and taken out of the difference', () => {
  const { runs, problems } = parseTestRuns('a t3 p12: 24 22.3 22.5 22.4\nB P4 24 22.0 22.2 22.1')
  expect(problems).toEqual([])
  expect(runs.map((r) => [r.tireRuns, r.packRuns])).toEqual([
    [3, 12],
    [undefined, 4],
  ])
  // Older packs mostly on A: B looks faster, and the pack's age alone makes it so.
  const laps = (mean: number) => [mean + 2, mean - 0.01, mean + 0.01, mean].map((s) => s.toFixed(3)).join(' ')
  const list = (noted: boolean) =>
    Array.from({ length: 10 }, (_, i) => {
      const side = sideOfRun(i)
      const age = (side === 'A' ? 40 : 10) + 7 * ((i * i) % 5)
      return `${side}${noted ? ` p${age}` : ''} ${laps(20 + 0.01 * age + 0.002 * ((i * 7) % 3))}`
    }).join('\n')
  const plain = judgeTest(parseTestRuns(list(false)).runs, 0.02)
  const aged = judgeTest(parseTestRuns(list(true)).runs, 0.02)
  expect(plain.differenceS).toBeLessThan(-0.15)
  expect(aged.removed).toContain('pack age')
  expect(Math.abs(aged.differenceS ?? 9)).toBeLessThan(0.02)
  expect(aged.says).not.toBe('B')
})

test('a line without a side, and a lap that is none, are named by their line', () => {
  const { problems } = parseTestRuns('22.3 22.4\nB 24 oops 22.2')
  expect(problems.map((p) => [p.field, p.value])).toEqual([
    ['Line 1', '22.3 22.4'],
    ['Line 2', 'oops'],
  ])
})

test('the worked example says what it comes to', () => {
  const v = judgeTest(parseTestRuns(TEST_EXAMPLE.list).runs, 0.1)
  expect(v.differenceS).toBeCloseTo(-0.5, 9)
})

test('the answer in words', () => {
  const open = judgeTest([], 0.1)
  expect(verdictText(open)).toBe('Can’t tell yet: about 2 more runs of each.')
  expect(verdictText({ ...open, moreOfEach: 1 })).toBe('Can’t tell yet: about 1 more run of each.')
  expect(verdictText({ ...open, moreOfEach: null })).toMatch(/hardly tell/)
  expect(verdictText({ ...open, says: 'none' })).toBe('No difference worth having.')
  expect(verdictText({ ...open, says: 'B' })).toBe('B is faster.')
})
