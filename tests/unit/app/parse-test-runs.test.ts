import { expect, test } from 'vitest'
import { TEST_EXAMPLE, verdictText } from '@/app/tools/ab-test-ticket'
import { parseTestRuns } from '@/app/tools/parse-test-runs'
import { judgeTest } from '@/lib/learning'

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
  expect(verdictText(open)).toBe('Can’t be told yet: about 2 more runs of each.')
  expect(verdictText({ ...open, moreOfEach: 1 })).toBe('Can’t be told yet: about 1 more run of each.')
  expect(verdictText({ ...open, moreOfEach: null })).toMatch(/hardly tell/)
  expect(verdictText({ ...open, says: 'none' })).toBe('No difference worth having.')
  expect(verdictText({ ...open, says: 'B' })).toBe('B is faster.')
})
