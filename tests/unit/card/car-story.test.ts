import { expect, test } from 'vitest'
import {
  addRecord,
  assignValue,
  fitValue,
  markLap,
  noteCharge,
  noteLaps,
  noteResult,
  noteTemperature,
  stampFinish,
  stampStart,
} from '@/lib/board'
import {
  carStory,
  freezeRecord,
  frozenGround,
  frozenTrial,
  lapPairs,
  measuredBeside,
  projectionBasis,
  runLaps,
  type Projection,
} from '@/lib/card'
import { frozenBoard } from '@/lib/derived'
import { must } from '../../support/must'
import { prepareRook, raceDay } from '../../support/race-day-board'

const MINUTE = 60_000

/** Rook has run twice, the second time with another pinion. */
function twoRuns() {
  const d = raceDay()
  prepareRook(d)
  const start = (heatId: string, runId: string, at: number) => {
    const record = freezeRecord(d.view(), d.run(runId, at), at)
    must(stampStart(d.m, d.view(), { heatId, at, records: [{ runId, record }] }))
    must(stampFinish(d.m, d.view(), { heatId, at: at + 5 * MINUTE }))
  }
  start(d.h1, d.runs.rook1, d.t0)
  must(assignValue(d.m, d.view(), { carId: d.rook, parameterId: 'pinion', value: 23 }))
  must(fitValue(d.m, d.view(), { carId: d.rook, parameterId: 'pinion', value: 23 }))
  start(d.h3, d.runs.rook2, d.t0 + 90 * MINUTE)
  const story = () => carStory(frozenBoard(d.view(), d.t0 + 100 * MINUTE), d.rook)
  return { ...d, story }
}

test('a car’s story is its runs in the order driven, each with what was changed before it', () => {
  const d = twoRuns()
  must(noteResult(d.m, d.view(), { runId: d.runs.rook1, result: { laps: 4, seconds: 100 } }))
  must(noteLaps(d.m, d.view(), { runId: d.runs.rook2, laps: [24, 23, 30, 24] }))
  must(markLap(d.m, d.view(), { runId: d.runs.rook2, lap: 3, mark: 'crash' }))
  const [first, second] = d.story()
  expect(first?.changes).toBeNull()
  expect(first?.meanS).toBe(25)
  expect(second?.changes?.map((c) => [c.label, c.was, c.now])).toContainEqual(['Pinion', 22, 23])
  // Of the laps that nobody marked: (24 + 23 + 24) / 3.
  expect(second?.meanS).toBeCloseTo(71 / 3, 9)
  expect(second?.bestS).toBe(23)
  expect(d.story()).toHaveLength(2)
})

test('two runs lap by lap: the difference in each lap, and the gap since the start', () => {
  const d = twoRuns()
  must(noteLaps(d.m, d.view(), { runId: d.runs.rook1, laps: [25, 24, 24] }))
  must(noteLaps(d.m, d.view(), { runId: d.runs.rook2, laps: [24.5, 24.25] }))
  const pairs = lapPairs(runLaps(d.view(), d.runs.rook1), runLaps(d.view(), d.runs.rook2))
  expect(pairs.map((p) => [p.lap, p.differenceS, p.gapS])).toEqual([
    [1, -0.5, -0.5],
    [2, 0.25, -0.25],
    [3, null, null],
  ])
})

test('a run’s frozen setup is what it ran with, whatever the card says today', () => {
  const d = twoRuns()
  const of = (runId: string) => frozenTrial(d.view(), d.rook, d.run(runId, d.t0 + 100 * MINUTE))
  expect(of(d.runs.rook1)).toMatchObject({ pinion: 22, spur: 81, pack: 'P01', tires: 'T01' })
  expect(of(d.runs.rook2)).toMatchObject({ pinion: 23 })
  // A value that the card got afterwards was not in the car then.
  must(assignValue(d.m, d.view(), { carId: d.rook, parameterId: 'motorTiming', value: 30 }))
  expect(of(d.runs.rook1)?.['motorTiming']).toBe('')
  expect(frozenTrial(d.view(), d.rook, d.run(d.runs.heron))).toBeNull()
})

const projected = (id: string, value: number, plusMinus: number): Projection => ({
  id,
  group: 'lap',
  label: id,
  value,
  text: '',
  unit: '',
  plusMinus,
  plusMinusText: '',
  detail: '',
  alarm: false,
  caution: null,
  rests: [],
})

test('every figure that was projected and measured is beside it, its difference in its ±', () => {
  const d = twoRuns()
  const runId = d.runs.rook1
  const figures = [
    projected('can', 80, 4),
    projected('lapsDone', 12, 0.24),
    projected('putBack', 2500, 100),
    projected('endVoltage', 3.8, 0.02),
    projected('topSpeed', 20, 1),
  ]
  const beside = () =>
    measuredBeside(d.view(), runId, figures, { run: d.view().runs.get(runId), cells: 2, raceSeconds: 300 })
  expect(beside()).toEqual([])
  must(noteTemperature(d.m, d.view(), { runId, part: 'motor', celsius: 90, afterMin: 7 }))
  must(noteResult(d.m, d.view(), { runId, result: { laps: 12, seconds: 306 } }))
  must(noteCharge(d.m, d.view(), { runId, chargeBackMah: 2550, restVoltageV: 7.56 }))
  const rows = new Map(beside().map((r) => [r.id, r]))
  expect([...rows.keys()]).toEqual(['can', 'meanLap', 'putBack', 'endVoltage'])
  expect(rows.get('can')).toMatchObject({ measured: 90, difference: 10, times: 2.5 })
  expect(rows.get('can')?.note).toMatch(/^7 min after the finish, so it was hotter/)
  // 300 s over 12 laps is 25 s, and 0.24 of 12 laps is 2%, or 0.5 s; 306 / 12 = 25.5 s.
  expect(rows.get('meanLap')?.projected).toBeCloseTo(25, 9)
  expect(rows.get('meanLap')?.plusMinus).toBeCloseTo(0.5, 9)
  expect(rows.get('meanLap')?.measured).toBeCloseTo(25.5, 9)
  expect(rows.get('meanLap')?.times).toBeCloseTo(1, 9)
  expect(rows.get('putBack')?.times).toBeCloseTo(0.5, 9)
  // 7.56 V of two cells.
  expect(rows.get('endVoltage')?.measured).toBeCloseTo(3.78, 9)
})

test('a car that stopped on the way is beside no whole race, and nothing of a whole race is learned from it', () => {
  const d = twoRuns()
  const runId = d.runs.rook1
  const learned = () =>
    projectionBasis(d.view(), d.rook, d.run(d.runs.rook2)).records.find((r) => r.runId === runId)?.measured
  const beside = () =>
    measuredBeside(
      d.view(),
      runId,
      [
        projected('can', 80, 4),
        projected('lapsDone', 12, 0.2),
        projected('putBack', 2500, 100),
        projected('endVoltage', 3.8, 0.02),
      ],
      { run: d.view().runs.get(runId), cells: 2, raceSeconds: 300 },
    ).map((r) => r.id)
  must(noteTemperature(d.m, d.view(), { runId, part: 'motor', celsius: 52, afterMin: 1 }))
  must(noteCharge(d.m, d.view(), { runId, chargeBackMah: 900, restVoltageV: 7.9 }))
  const result = { laps: 5, seconds: 130 }
  must(noteResult(d.m, d.view(), { runId, result }))
  expect(beside()).toEqual(['can', 'meanLap', 'putBack', 'endVoltage'])
  expect(learned()).toMatchObject({ putBackMah: 900, canC: 52 })
  must(noteResult(d.m, d.view(), { runId, result: { ...result, ended: 'did-not-finish' } }))
  expect(beside()).toEqual([])
  expect(learned() ?? {}).not.toHaveProperty('putBackMah')
  expect(learned() ?? {}).not.toHaveProperty('canC')
})

test('what is projected of a run that is over stands on the conditions of its hour', () => {
  const d = twoRuns()
  const air = (runId: string) =>
    frozenGround(frozenBoard(d.view(), d.t0), runId)?.basis.inputs.find((i) => i.id === 'airC')?.value
  const noted = (airC: number, at: number) =>
    must(addRecord(d.m, 'meeting', 'conditions', { airC: { v: airC, by: d.m.actor.personId, at } }))
  noted(12, d.t0 - MINUTE)
  noted(30, d.t0 + 60 * MINUTE)
  expect([d.runs.rook1, d.runs.rook2].map(air)).toEqual([12, 30])
})
