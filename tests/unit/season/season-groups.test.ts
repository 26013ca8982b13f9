import { expect, test } from 'vitest'
import { isIn, newestFirst, paceAmong, seasonGroups, type SeasonRun } from '@/lib/season'

const run = (runId: string, more: Partial<SeasonRun>): SeasonRun =>
  ({
    meetingId: 'm1',
    runId,
    carId: 'rook',
    trackId: 'bowl',
    packId: null,
    at: 0,
    ...NOTHING,
    ...more,
  }) as SeasonRun
const NOTHING = { bestS: null, meanS: null, chargeBackMah: null, canC: null, day: null } as const
const drive = (carId: string) => (carId === 'wren' ? '2wd' : '4wd')

test('a pace is told beside the median of the same track and kind of car, and never beside nothing', () => {
  const runs = [
    run('a', { meanS: 20 }),
    run('b', { meanS: 21 }),
    run('c', { meanS: 22 }),
    run('wren', { carId: 'wren', meanS: 30 }),
    run('hall', { trackId: 'hall', meanS: 12 }),
    run('none', {}),
    run('nowhere', { trackId: null, meanS: 19 }),
  ]
  const pace = paceAmong(runs, drive)
  expect(runs.map(pace)).toEqual([(20 / 21 - 1) * 100, 0, (22 / 21 - 1) * 100, null, null, null, null])
})

test('groups: the biggest first, what nobody said last, lap times only where all are on one track', () => {
  const runs = [
    run('a', { packId: 'p1', at: 2, bestS: 19.5, meanS: 20, chargeBackMah: 3000, canC: 80 }),
    run('b', { packId: 'p1', at: 1, bestS: 19.9, meanS: 21, chargeBackMah: 2800, meetingId: 'm2' }),
    run('c', { packId: 'p2', trackId: 'hall', meanS: 12, bestS: 11 }),
    run('d', { packId: 'p2', meanS: 22, bestS: 21 }),
    run('e', { packId: 'p2', meanS: 23, bestS: 22 }),
    run('f', {}),
  ]
  const groups = seasonGroups(runs, 'pack', paceAmong(runs, drive))
  expect(groups.map((g) => [g.id, g.runs, g.meetings, g.bestS, g.medianS])).toEqual([
    ['p2', 3, 1, null, null],
    ['p1', 2, 2, 19.5, 20.5],
    [null, 1, 1, null, null],
  ])
  const p1 = groups[1]
  expect(p1).toMatchObject({ putBackMah: 2900, canC: 80 })
  // The median of 20, 21, 22 and 23 is 21.5.
  expect(p1?.percents).toEqual([(20 / 21.5 - 1) * 100, (21 / 21.5 - 1) * 100])
  expect(p1?.pacePercent).toBeCloseTo(((20 / 21.5 - 1) * 100 + (21 / 21.5 - 1) * 100) / 2, 9)
})

test('a filter asks for all that it names', () => {
  const a = run('a', { packId: 'p1' })
  expect(isIn(a, {})).toBe(true)
  expect(isIn(a, { car: 'rook', pack: 'p1' })).toBe(true)
  expect(isIn(a, { car: 'rook', pack: 'p2' })).toBe(false)
  expect(isIn(a, { driver: 'ada' })).toBe(false)
})

test('the newest first, by its start or else its meeting’s day', () => {
  const runs = [run('old', { at: 1 }), run('day', { at: null, day: 5 }), run('undated', { at: null })]
  expect([...runs].sort(newestFirst).map((r) => r.runId)).toEqual(['day', 'old', 'undated'])
})
