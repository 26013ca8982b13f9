import { expect, test } from 'vitest'
import {
  addRecord,
  assignTires,
  changeRecord,
  noteResult,
  putTiresOn,
  setOfRun,
  stampFinish,
  stampStart,
  takeBackFinish,
  takeBackStart,
  UndoStack,
  type EditOrigin,
  type RunResult,
} from '@/lib/board'
import { freezeRecord, looseEnds } from '@/lib/card'
import { must } from '../../support/must'
import { raceDay } from '../../support/race-day-board'

const MINUTE = 60_000

/** Rook has two runs before it, and two sets to run them on. */
function withTires() {
  const d = raceDay()
  const ilse = d.as('mechanic', 'ilse')
  must(changeRecord(d.m, 'kit', 'tireSets', 'T02', { label: 'T02' }))
  const on = (runId: string, tireSetId: string) => must(putTiresOn(ilse, d.view(), { runId, tireSetId }))
  /** With the records that its start freezes, as a stamp on the order does; without, as one that is added later. */
  const start = (heatId: string, at: number, runIds: readonly string[] = []) =>
    must(
      stampStart(ilse, d.view(), {
        heatId,
        at,
        records: runIds.map((runId) => ({ runId, record: freezeRecord(d.view(), d.run(runId), at) })),
      }),
    )
  const finish = (heatId: string, at: number) => must(stampFinish(ilse, d.view(), { heatId, at }))
  const counts = () => ['T01', 'T02'].map((id) => d.view().tireSets.get(id)?.runs)
  return { ...d, ilse, on, start, finish, counts }
}

test('a finish counts one run for the set that was on, once; taken back it is no run', () => {
  const d = withTires()
  d.on(d.runs.rook1, 'T01')
  d.start(d.h1, d.t0, [d.runs.rook1])
  expect(setOfRun(d.view().runs.get(d.runs.rook1))).toBe('T01')
  expect(d.counts()).toEqual([undefined, undefined])
  d.finish(d.h1, d.t0 + 5 * MINUTE)
  expect(d.counts()).toEqual([1, undefined])
  // Corrected, with a time that is later, it is the same run.
  d.finish(d.h1, d.t0 + 6 * MINUTE)
  d.start(d.h1, d.t0 + MINUTE)
  expect(d.counts()).toEqual([1, undefined])
  must(takeBackFinish(d.ilse, d.view(), { heatId: d.h1 }))
  expect(d.counts()).toEqual([0, undefined])
  d.finish(d.h1, d.t0 + 5 * MINUTE)
  must(takeBackStart(d.ilse, d.view(), { heatId: d.h1 }))
  expect(d.counts()).toEqual([0, undefined])
})

test('a number entered by hand stands; later runs add to it, and what is taken back comes off it', () => {
  const d = withTires()
  d.on(d.runs.rook1, 'T01')
  d.on(d.runs.rook2, 'T01')
  must(changeRecord(d.m, 'kit', 'tireSets', 'T01', { runs: 4 }))
  d.start(d.h1, d.t0)
  d.finish(d.h1, d.t0 + 5 * MINUTE)
  expect(d.counts()[0]).toBe(5)
  must(changeRecord(d.m, 'kit', 'tireSets', 'T01', { runs: 3 }))
  d.start(d.h3, d.t0 + 90 * MINUTE)
  d.finish(d.h3, d.t0 + 95 * MINUTE)
  expect(d.counts()[0]).toBe(4)
  must(changeRecord(d.ilse, 'kit', 'tireSets', 'T01', { runs: 5 }))
  must(takeBackFinish(d.ilse, d.view(), { heatId: d.h3 }))
  expect(d.counts()[0]).toBe(4)
  // Less than none it never is.
  must(changeRecord(d.m, 'kit', 'tireSets', 'T01', { runs: 0 }))
  must(takeBackFinish(d.ilse, d.view(), { heatId: d.h1 }))
  expect(d.counts()[0]).toBe(0)
})

test('undo takes stamp and count back together; what the record froze counts, and nobody’s tires count nothing', () => {
  const d = withTires()
  const stack = new UndoStack()
  const noted = { ...d.ilse, onEdit: (e: EditOrigin) => stack.push(e) }
  d.on(d.runs.rook1, 'T01')
  d.start(d.h1, d.t0, [d.runs.rook1])
  d.on(d.runs.rook1, 'T02')
  must(stampFinish(noted, d.view(), { heatId: d.h1, at: d.t0 + 5 * MINUTE }))
  expect(d.counts()).toEqual([1, undefined])
  must(stack.undo(d.ilse))
  expect(d.counts()[0] ?? 0).toBe(0)
  expect(d.view().heats.get(d.h1)?.finishedAt?.v ?? null).toBeNull()
  d.start(d.h2, d.t0 + 8 * MINUTE)
  d.finish(d.h2, d.t0 + 13 * MINUTE)
  expect(d.counts().map((n) => n ?? 0)).toEqual([0, 0])
})

test('two of the team’s cars in one heat each count for their own set', () => {
  const d = withTires()
  const other = must(
    addRecord(d.m, 'meeting', 'entries', { heatId: d.h1, carId: d.heron, driverName: 'Eli' }),
  )
  d.on(d.runs.rook1, 'T01')
  d.on(other, 'T02')
  d.start(d.h1, d.t0)
  d.finish(d.h1, d.t0 + 5 * MINUTE)
  expect(d.counts()).toEqual([1, 1])
})

test('what is left in a set is known without anybody counting: the run that goes over it is named', () => {
  const d = withTires()
  must(changeRecord(d.m, 'kit', 'tireSets', 'T01', { runsGood: 1 }))
  d.on(d.runs.rook1, 'T01')
  must(assignTires(d.m, d.view(), { runId: d.runs.rook2, tireSetId: 'T01' }))
  const worn = () =>
    looseEnds(d.view(), d.t0 + 10 * MINUTE)
      .filter((e) => e.id.startsWith('tires-worn:'))
      .map((e) => [e.title, e.why] as const)
  d.start(d.h1, d.t0)
  d.finish(d.h1, d.t0 + 5 * MINUTE)
  expect(worn()).toEqual([['Rook, heat 3: T01 will be past 1 runs', '1 so far']])
})

const DNS: RunResult = { laps: 0, seconds: 0, ended: 'did-not-start' }

test('a car that did not start has run nothing, said before the finish or after it; said otherwise it has', () => {
  const d = withTires()
  const rook = () => {
    const { runs = 0, runMinutes = 0 } = d.view().cars.get(d.rook)!
    return [runs, runMinutes, d.view().tireSets.get('T01')?.runs ?? 0]
  }
  const say = (who: typeof d.ilse, result: RunResult | null) =>
    must(noteResult(who, d.view(), { runId: d.runs.rook1, result }))
  d.on(d.runs.rook1, 'T01')
  d.start(d.h1, d.t0)
  d.finish(d.h1, d.t0 + 5 * MINUTE)
  expect(rook()).toEqual([1, 5, 1])
  say(d.ilse, DNS)
  say(d.ilse, { ...DNS, reason: 'no spark' })
  expect(rook()).toEqual([0, 0, 0])
  // The finish is put right, taken back and stamped again: still no run.
  d.finish(d.h1, d.t0 + 6 * MINUTE)
  expect(rook()).toEqual([0, 0, 0])
  must(takeBackFinish(d.ilse, d.view(), { heatId: d.h1 }))
  d.finish(d.h1, d.t0 + 5 * MINUTE)
  expect(rook()).toEqual([0, 0, 0])
  say(d.ilse, { laps: 12, seconds: 299 })
  expect(rook()).toEqual([1, 5, 1])
  say(d.ilse, DNS)
  say(d.ilse, null)
  expect(rook()).toEqual([1, 5, 1])
})

test('a driver may not touch the kit’s counts: the run counts until somebody of the crew says so', () => {
  const d = withTires()
  d.start(d.h1, d.t0)
  d.finish(d.h1, d.t0 + 5 * MINUTE)
  const runs = () => d.view().cars.get(d.rook)?.runs
  const dana = d.as('driver', 'dana')
  must(noteResult(dana, d.view(), { runId: d.runs.rook1, result: DNS }))
  expect(runs()).toBe(1)
  must(noteResult(d.ilse, d.view(), { runId: d.runs.rook1, result: DNS }))
  expect(runs()).toBe(0)
  must(noteResult(dana, d.view(), { runId: d.runs.rook1, result: null }))
  must(takeBackFinish(d.ilse, d.view(), { heatId: d.h1 }))
  expect(runs()).toBe(0)
  d.finish(d.h1, d.t0 + 5 * MINUTE)
  expect(runs()).toBe(1)
})
