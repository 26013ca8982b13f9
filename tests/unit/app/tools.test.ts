import { expect, test } from 'vitest'
import { converted } from '@/app/tools/converted'
import { GEAR_PAIR_FIELDS, nearestPairs, type GearPairValues } from '@/app/tools/gear-pairs'
import { MOST_LAPS } from '@/lib/board'
import { parseLaps } from '@/lib/core/parse-laps'
import { CALCULATORS } from '@/app/tools/calculators'
import { TOOL_GROUPS } from '@/app/tools/tool-groups'

const START = Object.fromEntries(GEAR_PAIR_FIELDS.map((f) => [f.id, f.start])) as unknown as GearPairValues

const pairsOf = (by: Partial<GearPairValues> = {}) => {
  const answer = nearestPairs({ ...START, ...by })
  if (!answer.ok) throw new Error(JSON.stringify(answer.refusal))
  return answer
}
const refusalOf = (by: Partial<GearPairValues>) => {
  const answer = nearestPairs({ ...START, ...by })
  return answer.ok ? null : answer.refusal
}

test('laps are read with either decimal mark, minutes, places and separators', () => {
  expect(parseLaps('22.4 22.6\n1:02,3', 2000).laps).toEqual([22.4, 22.6, 62.3])
  expect(parseLaps('22.4, 22.6; 23', 2000).laps).toEqual([22.4, 22.6, 23])
  expect(parseLaps('1) 22.41\n#2 22,50\n\n#3: 1:00', 2000).laps).toEqual([22.41, 22.5, 60])
  expect(parseLaps('  \n', 2000).laps).toEqual([])
})

test('what is no lap is named by its line, and nothing is guessed', () => {
  const faults = (text: string) => parseLaps(text, 2000).problems.map((p) => [p.field, p.value])
  expect(faults('22.4\nabc 22.6')).toEqual([['Line 2', 'abc']])
  expect(faults('1:75')).toEqual([['Line 1', '1:75']])
  expect(faults('0 -3 1e3 NaN')).toHaveLength(4)
  expect(faults('22.4,22.6')).toEqual([['Line 1', '22.4,22.6']])
  expect(faults(Array(2001).fill('22').join(' '))).toEqual([['Lap list', '2001 laps']])
})

test('a lap that is missing between others is named; at the end it is no lap', () => {
  const read = (text: string) => parseLaps(text, 500)
  for (const text of ['26.1 - 25.2', '26.1;;25.2', '26.1\n-\n25.2', '1) 26.1 3) 25.2'])
    expect(read(text).problems, text).toHaveLength(1)
  for (const text of ['26.1 25.2 -', '26.1; 25.2;', '26.1;\n25.2;', '3) 26.1 4) 25.2'])
    expect(read(text), text).toEqual({ laps: [26.1, 25.2], problems: [] })
})

test('the longest list that is taken is the one that can be saved', () => {
  const list = (n: number) => parseLaps(Array(n).fill('22').join(' '), MOST_LAPS)
  expect(list(MOST_LAPS).problems).toEqual([])
  expect(list(MOST_LAPS + 1).problems).toMatchObject([{ reason: 'is too long', remedy: 'Up to 500 laps.' }])
})

test('the pair that the rollout was made from stands first, with its center distance', () => {
  const [first, second] = pairsOf().pairs
  // 31/72 at 2.6 on 83 mm: pi x 83 / (72 / 31 x 2.6) = 43.180 mm; module 0.5 x 103 / 2 = 25.75 mm.
  expect(first).toMatchObject({ pinion: 31, spur: 72, fits: true })
  expect(first?.rolloutMm).toBeCloseTo(43.180117, 5)
  expect(first?.centreMm).toBeCloseTo(25.75, 9)
  expect(Math.abs(second?.offTarget ?? 0)).toBeGreaterThan(Math.abs(first?.offTarget ?? 1))
  expect(pairsOf().pairs).toHaveLength(7 * 7)
})

test('a slot says which pairs it takes; without one nothing is said about the mount', () => {
  const slotted = pairsOf({ slotMin: 25.5, slotMax: 25.75 }).pairs
  // Teeth together 102 or 103 at module 0.5: 6 pairs (28 + 74 to 33 + 69) and 7 (28 + 75 to 34 + 69).
  expect(slotted.filter((p) => p.fits).every((p) => [102, 103].includes(p.pinion + p.spur))).toBe(true)
  expect(slotted.filter((p) => p.fits)).toHaveLength(13)
  const free = pairsOf({ slotMin: null, slotMax: null, moduleMm: null })
  expect(free.hasSlot).toBe(false)
  expect(free.pairs[0]?.fits).toBeUndefined()
})

test('ranges that run backwards and half a slot are refused by name', () => {
  expect(refusalOf({ pinionFrom: 40, pinionTo: 30 })).toMatchObject({ field: 'Pinions to', value: '30' })
  expect(refusalOf({ spurFrom: 90, spurTo: 60 })).toMatchObject({ field: 'Spurs to' })
  expect(refusalOf({ slotMin: 27, slotMax: 26 })).toMatchObject({ field: 'Slot: longest center distance' })
  expect(refusalOf({ slotMax: null })).toBe('Needs slot: longest center distance.')
  expect(refusalOf({ target: null })).toBe('Needs rollout wanted.')
})

test('a conversion gives the value, or what is wrong with the question', () => {
  const oz = converted({ value: 165, from: 'oz-in', to: 'Nm' })
  // 165 x 0.028349523125 kg x 9.80665 m/s2 x 0.0254 m
  expect(oz.ok && oz.value).toBeCloseTo(1.16516, 5)
  expect(converted({ value: -300, from: 'C', to: 'F' })).toMatchObject({
    ok: false,
    error: { field: 'Value', value: '-300' },
  })
  expect(converted({ value: null, from: 'in', to: 'mm' }).ok).toBe(false)
})

test('every calculator is on the screen, once', () => {
  const own = ['gear-pairs', 'lap-list', 'ab-test', 'units']
  expect(TOOL_GROUPS.flatMap((g): string[] => [...g.ids]).sort()).toEqual(
    [...CALCULATORS.map((c) => c.id), ...own].sort(),
  )
})
