import { beforeAll, expect, test } from 'vitest'
import { buildDemo } from '@/demo/seed'
import { BoardReading, type BoardView } from '@/lib/board'
import {
  cardBasis,
  frozenTrial,
  lapProjections,
  meanLap,
  nextRunOf,
  projectionBasis,
  runGround,
  runsOf,
  trackLap,
  trackSketch,
  valuesOf,
  type Projection,
  type ProjectionBasis,
} from '@/lib/card'

const NOW = Date.UTC(2026, 8, 12, 11, 4, 31)
let view: BoardView
let bases: Map<string, ProjectionBasis>
beforeAll(() => {
  const boards = buildDemo(NOW)
  view = new BoardReading({ kit: boards.kit, meeting: boards.today }).view()
  const runs = runsOf(view, NOW)
  bases = new Map(view.cars.live.map((c) => [c.id, projectionBasis(view, c.id, nextRunOf(runs, c.id))]))
})

const figures = (id: string): [car: string, figure: Projection][] =>
  [...bases].flatMap(([car, basis]) =>
    lapProjections(basis, false)
      .figures.filter((f) => f.id === id)
      .map((f): [string, Projection] => [car, f]),
  )

test('the track closes as drawn, without a guess at its corners’ directions', () => {
  const sketch = trackSketch(bases.get('rook')?.segments ?? [])
  expect(sketch).toMatchObject({ closes: true, guessed: false, hints: [] })
  expect(sketch?.gapM).toBeLessThan(0.1)
})

test('the grip is the one that the measured lap says', () => {
  const rook = bases.get('rook')
  const track = view.tracks.get(view.meeting.get('meeting')?.trackId)
  if (!rook || !track?.measuredLapS || !track.grip) throw new Error('the demo has no Rook or no measured lap')
  const { fit } = trackLap(rook, track.measuredLapS)
  expect(typeof fit === 'object' && fit !== null && Math.abs(fit.grip - track.grip)).toBeLessThan(0.01)
})

test('turbo fires on some straights of every car, and on none of them everywhere', () => {
  const fires = figures('turbo').map(([, f]) => f.value ?? 0)
  const straights = bases.get('rook')?.segments?.filter((s) => s.kind === 'straight').length ?? 0
  expect(fires).toHaveLength(8)
  expect(Math.min(...fires)).toBeGreaterThan(0)
  expect(Math.max(...fires)).toBeLessThan(straights)
  expect(new Set(fires).size).toBeGreaterThan(1)
})

test('cans end warm, and none is projected past where the trade stops', () => {
  const cans = figures('can')
  expect(cans).toHaveLength(8)
  for (const [car, f] of cans) {
    expect(f.value, car).toBeGreaterThan(50)
    expect(f.value, car).toBeLessThan(95)
  }
})

test('what was measured after each run is what its own frozen setup projects, within a small scatter', () => {
  const runs = runsOf(view, NOW).filter((r) => r.run?.result?.v)
  expect(runs.length).toBeGreaterThanOrEqual(9)
  for (const { run, runId, carId } of runs) {
    const ground = runGround(view, runId)
    const trial = ground && frozenTrial(view, carId, ground)
    if (!ground || !trial) throw new Error(`${runId} has no record`)
    const at = ground.run?.record?.v?.frozenAt
    const basis = cardBasis(view, carId, ground, trial, at)
    const { figures: of } = lapProjections({ ...basis, records: [] }, false)
    const told = (id: string) => of.find((f) => f.id === id)?.value ?? Number.NaN
    const air = valuesOf(basis).airC ?? Number.NaN
    expect(Math.abs((run?.motorC?.v ?? 0) - air) / (told('can') - air) - 1, runId).toBeLessThan(0.07)
    const lap = meanLap(view, run)?.meanS ?? Number.NaN
    expect(Math.abs((lap * told('lapsDone')) / basis.raceSeconds - 1), runId).toBeLessThan(0.035)
    const back = run?.chargeBackMah?.v
    if (back) expect(Math.abs(back / told('putBack') - 1), runId).toBeLessThan(0.035)
  }
  expect(runs.filter((r) => r.run?.chargeBackMah?.v).length).toBeGreaterThan(0)
})

test('the charge shown for a 4WD modified car holds what its records put back, less what was driven outside the race', () => {
  const { kit, earlier } = buildDemo(NOW)
  const then = new BoardReading({ kit, meeting: earlier }).view()
  let judged = 0
  for (const run of runsOf(then, NOW)) {
    const back = run.run?.chargeBackMah?.v
    if (then.cars.get(run.carId)?.drive !== '4wd' || !back) continue
    // As its card stood: with what the car's other runs have told.
    const basis = projectionBasis(then, run.carId, run)
    const { figures: of } = lapProjections(basis)
    const told = (id: string) => of.find((f) => f.id === id)
    const outside = ['warmUp', 'toGrid', 'afterFlag'].reduce((sum, id) => sum + (told(id)?.value ?? 0), 0)
    const used = told('chargeUsed')
    expect(outside, run.runId).toBeGreaterThan(0)
    expect(basis.records.length, run.runId).toBeGreaterThan(1)
    expect(Math.abs(back - outside - (used?.value ?? Number.NaN)), run.runId).toBeLessThan(
      used?.plusMinus ?? 0,
    )
    judged++
  }
  expect(judged).toBeGreaterThan(8)
}, 90_000)
