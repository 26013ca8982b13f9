import { expect, test } from 'vitest'
import { addRecord, stampFinish, stampStart, type BoardView } from '@/lib/board'
import { dayForecast, freezeRecord, heatsInOrder, isEarlyFinish, runsOf, stampingOf } from '@/lib/card'
import { merge, testBoard } from '../../support/board'
import { must } from '../../support/must'

const MINUTE = 60_000
const T0 = Date.UTC(2026, 4, 2, 10, 0)

/** Eight heats of five minutes, eight minutes apart. */
function day() {
  const b = testBoard()
  const m = b.as('manager')
  const ids = Array.from({ length: 8 }, (_, i) =>
    must(
      addRecord(m, 'meeting', 'heats', {
        number: i + 1,
        plannedStart: T0 + i * 8 * MINUTE,
        raceSeconds: 300,
      }),
    ),
  )
  const start = (i: number, at = T0 + i * 8 * MINUTE) =>
    must(stampStart(m, b.view(), { heatId: ids[i]!, at, records: [] }))
  const finish = (i: number, at = T0 + i * 8 * MINUTE + 5 * MINUTE) =>
    must(stampFinish(m, b.view(), { heatId: ids[i]!, at }))
  return { ...b, m, ids, start, finish }
}
const words = (view: BoardView, now: number) => {
  const s = stampingOf(view, now)
  const word = (e: typeof s.expected) => e && `${e.kind} ${e.heat.number}`
  return { key: word(s.expected), running: s.running?.number ?? null, missing: s.missing.map(word) }
}

test('the key goes from start to finish to the next start', () => {
  const d = day()
  expect(words(d.view(), T0)).toEqual({ key: 'start 1', running: null, missing: [] })
  d.start(0)
  expect(words(d.view(), T0 + MINUTE)).toEqual({ key: 'finish 1', running: 1, missing: [] })
  d.finish(0)
  expect(words(d.view(), T0 + 6 * MINUTE)).toEqual({ key: 'start 2', running: null, missing: [] })
})

test('a stamp that was missed never takes the key, and is listed', () => {
  const d = day()
  d.start(0)
  d.start(1)
  d.start(4)
  d.finish(4)
  expect(words(d.view(), T0 + 40 * MINUTE)).toEqual({
    key: 'start 6',
    running: null,
    missing: ['start 4', 'start 3', 'finish 2', 'finish 1'],
  })
})

test('a heat that nobody stamped out is over at some time, and the day goes on', () => {
  const d = day()
  d.start(0)
  expect(words(d.view(), T0 + 14 * MINUTE).key).toBe('finish 1')
  expect(words(d.view(), T0 + 16 * MINUTE)).toEqual({ key: 'start 2', running: null, missing: ['finish 1'] })
})

test('a finish long before the race clock runs out is asked about', () => {
  const d = day()
  d.start(0)
  const heat = d.view().heats.get(d.ids[0])!
  expect([3, 200, 289, 290, 320].map((s) => isEarlyFinish(d.view(), heat, T0 + s * 1000))).toEqual([
    true,
    true,
    true,
    false,
    false,
  ])
})

test('without a stamp for long past the plan the ± holds now, for all that comes', () => {
  const d = day()
  for (let i = 0; i < 5; i++) {
    d.start(i)
    d.finish(i)
  }
  const planned = T0 + 5 * 8 * MINUTE
  const coming = (now: number) => {
    const f = dayForecast(d.view(), now)
    return { silentS: f.silentS, heats: d.ids.slice(5).map((id) => f.heats.get(id)!) }
  }
  expect(coming(planned - MINUTE).silentS).toBe(0)
  for (const minutes of [6, 10, 20, 40]) {
    const now = planned + minutes * MINUTE
    const { heats } = coming(now)
    // It may have begun unseen when it was expected, or not at all yet: both lie within.
    expect(heats[0]!.startAt + heats[0]!.plusMinusS * 1000).toBeGreaterThanOrEqual(now)
    heats.forEach((h) => expect(h.plusMinusS).toBeGreaterThanOrEqual((now - heats[0]!.startAt) / 1000))
  }
  expect(coming(planned + 10 * MINUTE).silentS).toBe(600)
})

test('two phones that start the same heat offline: one start, one record, one car on the track', () => {
  const a = day()
  const m = a.m
  const carId = must(addRecord(m, 'kit', 'cars', { name: 'Rook' }))
  const runId = must(addRecord(m, 'meeting', 'entries', { heatId: a.ids[0]!, carId, driverName: 'Dana' }))
  const b = testBoard()
  merge(a.docs, b.docs)
  for (const [board, by, at] of [
    [a, 'ilse', T0 + 5_000],
    [b, 'bas', T0 + 7_000],
  ] as const) {
    const run = runsOf(board.view(), at).find((r) => r.runId === runId)!
    const record = freezeRecord(board.view(), run, at)
    must(
      stampStart(board.as('mechanic', by), board.view(), {
        heatId: a.ids[0]!,
        at,
        records: [{ runId, record }],
      }),
    )
  }
  merge(a.docs, b.docs)
  for (const board of [a, b]) {
    const view = board.view()
    const heat = heatsInOrder(view)[0]!
    expect([T0 + 5_000, T0 + 7_000]).toContain(heat.startedAt?.v)
    expect(words(view, T0 + 60_000)).toEqual({ key: 'finish 1', running: 1, missing: [] })
    expect(view.runs.live.filter((r) => r.record?.v)).toHaveLength(1)
  }
  expect(a.view().heats.get(a.ids[0])?.startedAt).toEqual(b.view().heats.get(a.ids[0])?.startedAt)
  expect(a.view().runs.get(runId)?.record).toEqual(b.view().runs.get(runId)?.record)
})
