import { expect, test } from 'vitest'
import {
  assignPack,
  assignTires,
  changeRecord,
  putTiresOn,
  removeRecord,
  runEdit,
  type BoardView,
} from '@/lib/board'
import { runsOf, type RunInfo } from '@/lib/card'
import { conflictLooseEnds } from '@/lib/card/loose-ends/conflict-loose-ends'
import { ok } from '@/lib/core/result'
import { must } from '../../support/must'
import { raceDay } from '../../support/race-day-board'

const MINUTE = 60_000
const manager = { personIds: [], role: 'manager' }

/** Rook's and Heron's first runs, whose times can be moved by hand. */
function setUp() {
  const d = raceDay()
  must(changeRecord(d.m, 'kit', 'people', 'boss', { name: 'Boss' }))
  const all = (change: (run: RunInfo) => Partial<RunInfo> = () => ({})) =>
    conflictLooseEnds(
      d.view(),
      runsOf(d.view(), d.now).map((r) => ({ ...r, ...change(r) })),
      d.now,
    )
  /** Rook's run starts at 0, Heron's so many minutes later. */
  const apart = (minutes: number) =>
    all((r) => {
      if (r.runId === d.runs.rook2) return {}
      const startAt = r.runId === d.runs.heron ? minutes * MINUTE : 0
      return { startAt, callAt: startAt - 5 * MINUTE }
    })
  return { ...d, boss: d.as('manager', 'boss'), all, apart }
}

test('one pack for two runs bites when the second one’s would have to go on charge', () => {
  const t = setUp()
  must(assignPack(t.boss, t.view(), { runId: t.runs.rook1, packId: 'P01' }))
  must(assignPack(t.as('mechanic', 'bas'), t.view(), { runId: t.runs.heron, packId: 'P01' }))
  expect(t.apart(74)).toEqual([
    {
      id: `pack-twice:P01:${t.runs.rook1}:${t.runs.heron}`,
      title: 'P01 assigned to Rook (heat 1) and Heron (heat 2)',
      why: 'by Boss and somebody; no time to charge it in between',
      who: manager,
      bitesAt: -5 * MINUTE,
      carId: t.heron,
      runId: t.runs.heron,
      act: { kind: 'choose-pack', runIds: [t.runs.rook1, t.runs.heron] },
    },
  ])
  expect(t.apart(20)[0]?.bitesAt).toBe(-45 * MINUTE)
  expect(t.apart(75)).toEqual([])
})

test('without times nobody can say that there is time to charge in between', () => {
  const t = setUp()
  must(assignPack(t.boss, t.view(), { runId: t.runs.rook1, packId: 'P01' }))
  must(assignPack(t.boss, t.view(), { runId: t.runs.heron, packId: 'P01' }))
  const without = (runId: string) =>
    t.all((r) => {
      if (r.runId === runId) return { startAt: null, callAt: null }
      return { startAt: r.runId === t.runs.heron ? 200 * MINUTE : 0, callAt: 60 * MINUTE }
    })
  expect(without(t.runs.rook1).map((e) => e.bitesAt)).toEqual([0])
  expect(without(t.runs.heron).map((e) => e.bitesAt)).toEqual([null])
  expect(t.apart(200)).toEqual([])
})

test('a pack is compared with the run before it, and a run that is over promises nothing', () => {
  const t = setUp()
  for (const runId of [t.runs.rook1, t.runs.heron, t.runs.rook2])
    must(assignPack(t.boss, t.view(), { runId, packId: 'P01' }))
  const pairs = (runs: readonly RunInfo[]) =>
    conflictLooseEnds(t.view(), runs, t.now).map((e) => e.id.split(':').slice(2))
  const now = (state: RunInfo['state']) =>
    runsOf(t.view(), t.now).map((r) => ({
      ...r,
      startAt: null,
      ...(r.runId === t.runs.rook1 && { state }),
    }))
  for (const state of ['upcoming', 'called', 'on-track'] as const)
    expect(pairs(now(state))).toEqual([
      [t.runs.rook1, t.runs.heron],
      [t.runs.heron, t.runs.rook2],
    ])
  expect(pairs(now('finished'))).toEqual([[t.runs.heron, t.runs.rook2]])
})

test('one tire set for two cars needs the race and twenty minutes in between', () => {
  const t = setUp()
  must(assignTires(t.boss, t.view(), { runId: t.runs.rook1, tireSetId: 'T01' }))
  must(assignTires(t.boss, t.view(), { runId: t.runs.heron, tireSetId: 'T01' }))
  must(putTiresOn(t.boss, t.view(), { runId: t.runs.rook1, tireSetId: 'T01' }))
  expect(t.apart(24)).toEqual([
    {
      id: `tires-twice:T01:${t.runs.rook1}:${t.runs.heron}`,
      title: 'T01 assigned to Rook (heat 1) and Heron (heat 2)',
      why: 'by Boss and Boss; a set can be on one car',
      who: manager,
      bitesAt: -5 * MINUTE,
      carId: t.heron,
      runId: t.runs.heron,
      act: { kind: 'choose-tires', runIds: [t.runs.rook1, t.runs.heron] },
    },
  ])
  expect(t.apart(25)).toEqual([])
  const long = (r: RunInfo) => ({ heat: { ...r.heat, raceSeconds: 600 } })
  const times = (r: RunInfo) => ({ startAt: r.runId === t.runs.heron ? 29 * MINUTE : 0, ...long(r) })
  expect(t.all(times)).toHaveLength(1)
  expect(t.all((r) => ({ ...times(r), startAt: r.runId === t.runs.heron ? null : 0 }))).toHaveLength(1)
  expect(
    t.all((r) => ({ ...times(r), startAt: r.runId === t.runs.heron ? 99 * MINUTE : null })),
  ).toHaveLength(1)
  const later = (minutes: number) =>
    t.all((r) => ({ startAt: (r.runId === t.runs.heron ? 60 + minutes : 60) * MINUTE }))
  expect([later(24), later(25)].map((ends) => ends.length)).toEqual([1, 0])
})

test('a set that stands on both cars at once is one car’s too many, however long the time in between', () => {
  const t = setUp()
  must(assignTires(t.boss, t.view(), { runId: t.runs.rook1, tireSetId: 'T01' }))
  must(assignTires(t.boss, t.view(), { runId: t.runs.heron, tireSetId: 'T01' }))
  must(putTiresOn(t.boss, t.view(), { runId: t.runs.rook1, tireSetId: 'T01' }))
  const both = t.all((r) => ({
    startAt: r.runId === t.runs.heron ? 99 * MINUTE : 0,
    run: { ...r.run!, tiresOn: t.view().runs.get(t.runs.rook1)!.tiresOn },
  }))
  expect(both).toHaveLength(1)
  expect(t.apart(99)).toEqual([])
})

test('what nobody assigned by name, of a pack or set that is gone from the kit, is told as well as can be', () => {
  const t = setUp()
  for (const runId of [t.runs.rook1, t.runs.heron]) {
    must(assignPack(t.boss, t.view(), { runId, packId: 'P01' }))
    must(assignTires(t.boss, t.view(), { runId, tireSetId: 'T01' }))
  }
  const view = t.view()
  const none = { get: () => undefined }
  const gone = { ...view, packs: none, tireSets: none, people: none } as unknown as BoardView
  const runs = runsOf(view, t.now).map((r) => ({ ...r, startAt: null }))
  expect(conflictLooseEnds(gone, runs, t.now).map((e) => [e.title, e.why])).toEqual([
    [
      'A pack assigned to Rook (heat 1) and Heron (heat 2)',
      'by somebody and somebody; no time to charge it in between',
    ],
    [
      'A tire set assigned to Rook (heat 1) and Heron (heat 2)',
      'by somebody and somebody; a set can be on one car',
    ],
  ])
})

test('one car may run the same set again', () => {
  const t = setUp()
  must(assignTires(t.boss, t.view(), { runId: t.runs.rook1, tireSetId: 'T01' }))
  must(assignTires(t.boss, t.view(), { runId: t.runs.rook2, tireSetId: 'T01' }))
  expect(t.all(() => ({ startAt: 0 }))).toEqual([])
})

test('what was prepared for a run that left the running order is said, until its hour is long past', () => {
  const t = setUp()
  const orphans = (now = t.now) => conflictLooseEnds(t.view(), runsOf(t.view(), now), now)
  must(assignPack(t.boss, t.view(), { runId: t.runs.heron, packId: 'P01' }))
  expect(orphans()).toEqual([])
  must(removeRecord(t.boss, 'meeting', 'heats', t.h2))
  expect(orphans()).toEqual([
    {
      id: `orphan:${t.runs.heron}`,
      title: `${t.heron}, heat 2 is no longer in the running order but has a pack or tires assigned`,
      why: 'the running order was imported again, or the heat was deleted',
      who: manager,
      bitesAt: null,
      carId: t.heron,
      runId: t.runs.heron,
      act: { kind: 'choose-pack', runIds: [t.runs.heron] },
    },
  ])
  const planned = t.view().heats.get(t.h2)!.plannedStart!
  expect(orphans(planned + 360 * MINUTE)).toHaveLength(1)
  expect(orphans(planned + 360 * MINUTE + 1)).toEqual([])
})

test('tires count like a pack, a removed entry like a removed heat; a run that was run, or had nothing, is no loose end', () => {
  const t = setUp()
  const ids = () => t.all().map((e) => e.id)
  must(removeRecord(t.boss, 'meeting', 'entries', t.runs.rook1))
  expect(ids()).toEqual([])
  must(assignTires(t.boss, t.view(), { runId: t.runs.rook2, tireSetId: 'T01' }))
  must(removeRecord(t.boss, 'meeting', 'entries', t.runs.rook2))
  expect(ids()).toEqual([`orphan:${t.runs.rook2}`])
  const view = t.view()
  const run = { ...view.runs.get(t.runs.rook2)!, record: { v: {}, by: 'boss', at: t.now } }
  const ran = { ...view, runs: { ...view.runs, all: new Map([[run.id, run]]) } } as unknown as BoardView
  expect(conflictLooseEnds(ran, [], t.now)).toEqual([])
})

test('a run whose entry is not there at all is named as well as can be', () => {
  const t = setUp()
  must(
    runEdit(t.boss, 'a run of nobody', (w) => {
      w.meeting('runs', 'lost', { packId: w.stamp('P01') })
      return ok(null)
    }),
  )
  expect(t.all()).toEqual([
    {
      id: 'orphan:lost',
      title: 'A run, heat ? is no longer in the running order but has a pack or tires assigned',
      why: 'the running order was imported again, or the heat was deleted',
      who: manager,
      bitesAt: null,
      carId: null,
      runId: 'lost',
      act: { kind: 'choose-pack', runIds: ['lost'] },
    },
  ])
})

test('a value that can’t be read is a loose end of the kit', () => {
  const t = setUp()
  const damaged = { ...t.view(), damaged: [{ collection: 'packs', recordId: 'P01', field: 'cells' }] }
  expect(conflictLooseEnds(damaged as unknown as BoardView, [], t.now)).toEqual([
    {
      id: 'damaged:packs:P01:cells',
      title: 'A cells in packs can’t be read',
      why: 'its value is not valid; enter it again',
      who: manager,
      bitesAt: null,
      carId: null,
      runId: null,
      act: { kind: 'open-kit', collection: 'packs', recordId: 'P01' },
    },
  ])
})
