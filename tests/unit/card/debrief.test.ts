import { expect, test } from 'vitest'
import {
  noteCharge,
  noteLaps,
  noteResult,
  noteTemperature,
  markLap,
  stampFinish,
  stampStart,
} from '@/lib/board'
import { byMissing, debriefParts, freezeRecord, looseEnds, runLaps } from '@/lib/card'
import { must } from '../../support/must'
import { prepareRook, raceDay } from '../../support/race-day-board'

const MINUTE = 60_000

/** Rook's heat 1 is over; heat 3, its next, comes in 90 minutes. */
function flagged() {
  const d = raceDay()
  prepareRook(d)
  const record = freezeRecord(d.view(), d.run(d.runs.rook1), d.t0)
  must(stampStart(d.m, d.view(), { heatId: d.h1, at: d.t0, records: [{ runId: d.runs.rook1, record }] }))
  const flag = d.t0 + 5 * MINUTE
  must(stampFinish(d.m, d.view(), { heatId: d.h1, at: flag }))
  const calm = (at: number) => looseEnds(d.view(), at).filter((e) => e.isCalm)
  return { ...d, flag, calm, ilse: d.as('mechanic', 'ilse'), runId: d.runs.rook1 }
}

test('what is missing most comes first; what is there moves down', () => {
  const d = flagged()
  const order = () => byMissing(debriefParts(d.view(), d.runId)).map((p) => `${p.id} ${p.state}`)
  expect(order()).toEqual([
    'temperatures missing',
    'result missing',
    'words missing',
    'charge missing',
    'tires missing',
    'laps missing',
  ])
  must(noteTemperature(d.ilse, d.view(), { runId: d.runId, part: 'motor', celsius: 80, afterMin: 2 }))
  must(noteResult(d.ilse, d.view(), { runId: d.runId, result: { laps: 13, seconds: 302.4 } }))
  expect(order()).toEqual([
    'words missing',
    'charge missing',
    'tires missing',
    'laps missing',
    'temperatures partly',
    'result done',
  ])
})

test('a debrief without what the model needs is a calm loose end: last of all, named, with who', () => {
  const d = flagged()
  const at = d.flag + 10 * MINUTE
  const ends = looseEnds(d.view(), at)
  expect(ends.at(-1)).toMatchObject({
    title: 'Rook, heat 1: motor temperature, result and charge put back not entered',
    who: { personIds: ['ilse'] },
    act: { kind: 'open-debrief', runId: d.runId },
  })
  // Something of a coming run is open as well, and stands above it.
  expect(ends.filter((e) => !e.isCalm).length).toBeGreaterThan(0)
  must(noteTemperature(d.ilse, d.view(), { runId: d.runId, part: 'motor', celsius: 80, afterMin: 2 }))
  must(noteResult(d.ilse, d.view(), { runId: d.runId, result: { laps: 13, seconds: 302.4 } }))
  expect(d.calm(at).map((e) => e.title)).toEqual(['Rook, heat 1: charge put back not entered'])
  must(noteCharge(d.ilse, d.view(), { runId: d.runId, chargeBackMah: 2650 }))
  expect(d.calm(at)).toEqual([])
})

test('it is not asked for in the first minutes, before the next call, or hours later', () => {
  const d = flagged()
  // The heat between is stamped too, so that the next call stays where it is planned.
  must(stampStart(d.m, d.view(), { heatId: d.h2, at: d.t0 + 8 * MINUTE, records: [] }))
  must(stampFinish(d.m, d.view(), { heatId: d.h2, at: d.t0 + 13 * MINUTE }))
  const call = d.run(d.runs.rook2, d.flag + 10 * MINUTE).callAt ?? 0
  expect(d.calm(d.flag + MINUTE)).toEqual([])
  expect(d.calm(call - 25 * MINUTE)).toHaveLength(1)
  expect(d.calm(call - 15 * MINUTE)).toEqual([])
  expect(d.calm(d.flag + 4 * 60 * MINUTE)).toEqual([])
})

test('a car that did not start owes no figures', () => {
  const d = flagged()
  must(
    noteResult(d.ilse, d.view(), {
      runId: d.runId,
      result: { laps: 0, seconds: 0, ended: 'did-not-start', reason: 'no transponder' },
    }),
  )
  expect(d.calm(d.flag + 10 * MINUTE)).toEqual([])
})

test('a marked lap stays in the list and out of the pace', () => {
  const d = flagged()
  // By hand: (22.4 + 22.6 + 22.8) / 3 = 22.6, deviations −0.2, 0, 0.2: sd = sqrt(0.08 / 2) = 0.2.
  must(noteLaps(d.ilse, d.view(), { runId: d.runId, laps: [22.4, 31, 22.6, 22.8] }))
  must(markLap(d.ilse, d.view(), { runId: d.runId, lap: 2, mark: 'crash' }))
  const { laps, clean, bestS, sumS } = runLaps(d.view(), d.runId)
  expect(laps.map((l) => l.mark)).toEqual([null, 'crash', null, null])
  expect(clean?.count).toBe(3)
  expect(clean?.meanS).toBeCloseTo(22.6, 9)
  expect(clean?.medianS).toBeCloseTo(22.6, 9)
  expect(clean?.spreadS).toBeCloseTo(0.2, 9)
  expect(bestS).toBe(22.4)
  expect(sumS).toBeCloseTo(98.8, 9)
})
