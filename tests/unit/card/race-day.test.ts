import { expect, test } from 'vitest'
import {
  assignPack,
  assignTires,
  assignValue,
  fitValue,
  putPackIn,
  removeRecord,
  sendBack,
  signFollowUp,
  stampStart,
} from '@/lib/board'
import {
  acceptState,
  changesSinceLastRun,
  factsOf,
  freezeRecord,
  looseEnds,
  openFollowUps,
  runsOf,
} from '@/lib/card'
import { merge, testBoard } from '../../support/board'
import { must } from '../../support/must'
import { prepareRook, raceDay, type RaceDayBoard } from '../../support/race-day-board'

const MINUTE = 60_000

test('a car becomes ready fact by fact, and a later change voids the accept', () => {
  const d = raceDay()
  expect(d.fact(d.runs.rook1)).toEqual({
    assigned: 'no',
    fitted: 'no',
    powered: 'no',
    shod: 'no',
    checked: 'no',
    accepted: 'no',
  })
  prepareRook(d)
  expect(d.fact(d.runs.rook1)).toEqual({
    assigned: 'yes',
    fitted: 'yes',
    powered: 'yes',
    shod: 'yes',
    checked: 'yes',
    accepted: 'yes',
  })
  expect(looseEnds(d.view(), d.now).filter((e) => e.carId === d.rook && e.runId === d.runs.rook1)).toEqual([])
  must(assignValue(d.m, d.view(), { carId: d.rook, parameterId: 'pinion', value: 23, why: 'long straight' }))
  expect(d.fact(d.runs.rook1)).toMatchObject({ assigned: 'yes', fitted: 'no', accepted: 'void' })
  const titles = looseEnds(d.view(), d.now).map((e) => e.title)
  expect(titles).toContain('Rook: Pinion 23 t assigned, 22 t fitted')
  expect(titles).toContain('Rook, heat 1: changed since it was accepted')
})

test('putting the value back revives the accept: the digest is of what the car is, not of when', () => {
  const d = raceDay()
  prepareRook(d)
  must(assignValue(d.m, d.view(), { carId: d.rook, parameterId: 'pinion', value: 23 }))
  must(assignValue(d.m, d.view(), { carId: d.rook, parameterId: 'pinion', value: 22 }))
  expect(acceptState(d.view(), d.run(d.runs.rook1))).toBe('valid')
})

test('a follow-up signed before the latest change counts as open again, even when the value came back', () => {
  const d = raceDay()
  prepareRook(d)
  const ilse = d.as('mechanic', 'ilse')
  must(fitValue(ilse, d.view(), { carId: d.rook, parameterId: 'pinion', value: 23 }))
  const [open] = openFollowUps(d.view(), d.rook)
  expect(open?.opened?.v).toBe('Pinion 22 → 23 t')
  must(signFollowUp(ilse, { carId: d.rook, ruleId: d.mesh, covers: open!.covers }))
  expect(openFollowUps(d.view(), d.rook)).toEqual([])
  must(fitValue(ilse, d.view(), { carId: d.rook, parameterId: 'pinion', value: 22 }))
  expect(openFollowUps(d.view(), d.rook).map((f) => f.name)).toEqual(['Re-set the gear mesh'])
})

test('a value fitted again must be read back again', () => {
  const d = raceDay()
  prepareRook(d)
  must(
    fitValue(d.as('mechanic', 'ilse'), d.view(), {
      carId: d.rook,
      parameterId: `esc.${d.delay}`,
      value: 0.1,
    }),
  )
  expect(factsOf(d.view(), d.run(d.runs.rook1))[1]?.missing).toEqual(['Turbo delay not read back'])
})

test('the frozen record keeps what the car ran with, and the next run shows exactly what changed since', () => {
  const d = raceDay()
  prepareRook(d)
  const record = freezeRecord(d.view(), d.run(d.runs.rook1), d.t0)
  expect(record).toMatchObject({ packId: 'P01', tireSetId: 'T01', missing: [], accepted: true })
  must(stampStart(d.m, d.view(), { heatId: d.h1, at: d.t0, records: [{ runId: d.runs.rook1, record }] }))
  must(assignValue(d.m, d.view(), { carId: d.rook, parameterId: 'pinion', value: 23, why: 'short of revs' }))
  must(assignTires(d.m, d.view(), { runId: d.runs.rook2, tireSetId: 'T01' }))
  must(assignPack(d.m, d.view(), { runId: d.runs.rook2, packId: 'P01' }))
  const runs = runsOf(d.view(), d.t0 + MINUTE)
  const next = runs.find((r) => r.runId === d.runs.rook2)!
  const { since, changes } = changesSinceLastRun(d.view(), runs, next)
  expect(since?.runId).toBe(d.runs.rook1)
  expect(changes.map((c) => [c.label, c.was, c.now, c.done, c.why])).toEqual([
    ['Pinion', 22, 23, false, 'short of revs'],
  ])
  expect(d.view().runs.get(d.runs.rook1)?.record?.v?.values['pinion']).toEqual({
    assigned: 22,
    fitted: 22,
    readBack: true,
  })
})

test('two phones that gave one pack to two cars offline: the merge shows the loose end on both', () => {
  const a = raceDay()
  const b = testBoard()
  merge(a.docs, b.docs)
  must(assignPack(a.as('mechanic', 'ilse'), a.view(), { runId: a.runs.rook1, packId: 'P01' }))
  must(assignPack(b.as('mechanic', 'bas'), b.view(), { runId: a.runs.heron, packId: 'P01' }))
  const twice = (v: RaceDayBoard['view']) =>
    looseEnds(v(), a.now).filter((e) => e.id.startsWith('pack-twice'))
  expect(twice(a.view)).toEqual([])
  merge(a.docs, b.docs)
  expect(twice(a.view).map((e) => e.title)).toEqual(['P01 assigned to Rook (heat 1) and Heron (heat 2)'])
  expect(twice(b.view)).toEqual(twice(a.view))
})

test('wrong cell count, a pack not charged, over-voltage and one tire set for two cars are loose ends', () => {
  const d = raceDay()
  must(assignPack(d.m, d.view(), { runId: d.runs.rook1, packId: 'P02' }))
  must(assignTires(d.m, d.view(), { runId: d.runs.rook1, tireSetId: 'T01' }))
  must(assignTires(d.m, d.view(), { runId: d.runs.heron, tireSetId: 'T01' }))
  must(putPackIn(d.m, d.view(), { runId: d.runs.rook1, packId: 'P02', restVoltageV: 12.5 }))
  const titles = looseEnds(d.view(), d.now).map((e) => e.title)
  expect(titles).toContain('Rook, heat 1: P02 has 3 cells, the class runs 2')
  expect(titles).toContain('Rook, heat 1: P02 at 12.50 V is over 8.42 V')
  expect(titles).toContain('T01 assigned to Rook (heat 1) and Heron (heat 2)')
  must(assignPack(d.m, d.view(), { runId: d.runs.heron, packId: 'P01' }))
  expect(looseEnds(d.view(), d.now).map((e) => e.title)).toContain('Heron, heat 2: P01 is not charged')
})

test('the limit itself is legal: 8.42 V passes, 8.43 V does not', () => {
  const d = raceDay()
  prepareRook(d)
  must(putPackIn(d.m, d.view(), { runId: d.runs.rook1, packId: 'P01', restVoltageV: 8.42 }))
  expect(d.fact(d.runs.rook1)['powered']).toBe('yes')
  must(putPackIn(d.m, d.view(), { runId: d.runs.rook1, packId: 'P01', restVoltageV: 8.43 }))
  expect(d.fact(d.runs.rook1)['powered']).toBe('no')
})

test('sending back withdraws the accept and tells the mechanics', () => {
  const d = raceDay()
  prepareRook(d)
  must(sendBack(d.as('driver', 'dana'), d.view(), { runId: d.runs.rook1, why: 'steering pulls left' }))
  expect(acceptState(d.view(), d.run(d.runs.rook1))).toBe('none')
  const end = looseEnds(d.view(), d.now).find((e) => e.id.startsWith('sent-back'))
  expect([end?.why, end?.who.personIds]).toEqual(['steering pulls left', ['ilse']])
})

test('a dropped heat with a pack promised leaves a loose end; loose ends come most urgent first', () => {
  const d = raceDay()
  must(assignPack(d.m, d.view(), { runId: d.runs.heron, packId: 'P01' }))
  must(removeRecord(d.m, 'meeting', 'heats', d.h2))
  const ends = looseEnds(d.view(), d.now)
  expect(ends.at(-1)?.id).toBe(`orphan:${d.runs.heron}`)
  const bites = ends.map((e) => e.bitesAt ?? Infinity)
  expect(bites).toEqual([...bites].sort((x, y) => x - y))
})

test('a late start moves the later heats: none is expected on the track while this one runs', () => {
  const d = raceDay()
  const before = d.run(d.runs.heron).startAt!
  must(stampStart(d.m, d.view(), { heatId: d.h1, at: d.t0 + 12 * MINUTE, records: [] }))
  const after = d.run(d.runs.heron, d.t0 + 13 * MINUTE).startAt!
  expect(before).toBeLessThan(d.t0 + 12 * MINUTE)
  expect(after).toBeGreaterThanOrEqual(d.t0 + 17 * MINUTE)
})
