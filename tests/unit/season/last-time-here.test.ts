import { expect, test } from 'vitest'
import { DAY_MS, lastTimeHere, tireLife, type SeasonRun } from '@/lib/season'
import { BLANK_RUN } from '../../support/blank-run'

const T0 = Date.UTC(2026, 2, 1)
const run = (runId: string, over: Partial<SeasonRun>): SeasonRun => ({
  ...BLANK_RUN,
  meetingId: 'spring',
  meetingName: 'Spring meeting',
  day: T0,
  trackId: 'clay-hall',
  surface: 'clay',
  runId,
  heat: `Heat ${runId}`,
  at: T0,
  ...over,
})

test('the last meeting on this track, car by car: its best run with what was in the car, all that was written', () => {
  const runs = [
    run('1', {
      laps: 12,
      timeS: 302,
      bestS: 23.9,
      meanS: 24.8,
      values: { pinion: 21 },
      airC: 14,
      notes: ['Watered at noon'],
    }),
    run('2', {
      laps: 13,
      timeS: 306,
      bestS: 24,
      meanS: 23.6,
      values: { pinion: 22 },
      airC: 19,
      words: 'Loose on entry',
      notes: ['Watered at noon', 'Changed oil'],
      at: T0 + 1,
    }),
    run('3', { laps: 13, timeS: 309, values: { pinion: 23 }, at: T0 + 2 }),
    run('4', { carId: 'wren', values: { pinion: 19 }, at: T0 + 3 }),
    run('5', {
      meetingId: 'winter',
      meetingName: 'Winter meeting',
      day: T0 - 90 * DAY_MS,
      laps: 15,
      timeS: 300,
    }),
    run('6', { meetingId: 'other', trackId: 'carpet-hall', day: T0 + DAY_MS }),
    run('7', { meetingId: 'now', day: T0 + 60 * DAY_MS }),
  ]
  const last = lastTimeHere(runs, { trackId: 'clay-hall', before: T0 + 60 * DAY_MS })
  expect(last).toMatchObject({
    meetingId: 'spring',
    meetingName: 'Spring meeting',
    day: T0,
    airC: [14, 19],
    earlier: 1,
  })
  const [rook, wren] = last?.cars ?? []
  expect(rook).toMatchObject({ carId: 'rook', runs: 3, bestS: 23.9, meanS: 23.6, values: { pinion: 22 } })
  expect(rook?.best?.runId).toBe('2')
  expect(rook?.words).toEqual([{ runId: '2', heat: 'Heat 2', text: 'Loose on entry' }])
  expect(rook?.notes).toEqual(['Watered at noon', 'Changed oil'])
  // Without a result there is no best run, and what was in the car last still shows.
  expect(wren).toMatchObject({ best: null, bestS: null, values: { pinion: 19 } })
  expect(
    lastTimeHere([...runs].reverse(), { trackId: 'clay-hall', before: T0 + 60 * DAY_MS })
      ?.cars.map((c) => c.best?.runId ?? null)
      .sort(),
  ).toEqual(['2', null])
})

test('a track that is new, or only run later, has no last time; a meeting is not its own past', () => {
  const runs = [run('1', {})]
  expect(lastTimeHere(runs, { trackId: 'carpet-hall', before: T0 + 1 })).toBeNull()
  expect(lastTimeHere(runs, { trackId: 'clay-hall', before: T0 })).toBeNull()
  expect(lastTimeHere(runs, { trackId: 'clay-hall', before: T0 + 1, notThis: 'spring' })).toBeNull()
})

test('tires: runs counted, wear per run, and the rollout that is shorter with the diameter', () => {
  const runs = [85, null, 84.6, 84.4, 84.2, 84].map((tireMm, i) =>
    run(String(i), { tireSetId: 'T1', tireMm, at: T0 + i, timeS: 300 }),
  )
  const life = tireLife({ id: 'T1', diameterMm: 84 }, [...runs].reverse())
  expect(life.runs.map((r) => r.runId)).toEqual(['0', '1', '2', '3', '4', '5'])
  expect(life.seconds).toBe(1800)
  expect(life.points.map((p) => p.runs)).toEqual([1, 3, 4, 5, 6])
  expect(life.wear?.slope).toBeCloseTo(-0.2, 9)
  expect(life.circumferenceMm).toBeCloseTo(263.894, 3)
  expect(life.shorterPercent).toBeCloseTo(100 * (1 - 84 / 85), 9)
  expect(tireLife({ id: 'T2' }, runs)).toMatchObject({
    runs: [],
    wear: null,
    circumferenceMm: null,
    shorterPercent: null,
  })
})
