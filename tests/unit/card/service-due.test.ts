import { expect, test } from 'vitest'
import {
  addPackReading,
  addRecord,
  changeRecord,
  readPackVoltage,
  removeRecord,
  setPackState,
  signService,
  stampFinish,
  stampStart,
  takeBackFinish,
  takeBackStart,
} from '@/lib/board'
import { runsOf, serviceLooseEnds, serviceOf } from '@/lib/card'
import { must } from '../../support/must'
import { raceDay } from '../../support/race-day-board'

const MINUTE = 60_000

/** A day with a rule of two runs and one of half an hour. */
function serviced() {
  const d = raceDay()
  const dampers = must(
    addRecord(d.m, 'kit', 'serviceRules', { name: 'Rebuild the dampers', part: 'dampers', afterRuns: 2 }),
  )
  const rotor = must(
    addRecord(d.m, 'kit', 'serviceRules', { name: 'Check the rotor', part: 'rotor', afterHours: 0.5 }),
  )
  const ilse = d.as('mechanic', 'ilse')
  const start = (heatId: string, at: number) => must(stampStart(ilse, d.view(), { heatId, at, records: [] }))
  const finish = (heatId: string, at: number) => must(stampFinish(ilse, d.view(), { heatId, at }))
  const car = () => d.view().cars.get(d.rook)!
  const state = (ruleId: string) => serviceOf(d.view(), car()).find((s) => s.rule.id === ruleId)!
  const ends = () => serviceLooseEnds(d.view(), runsOf(d.view(), d.t0 + 30 * MINUTE))
  const due = () =>
    ends()
      .map((e) => e.title)
      .sort()
  return { ...d, dampers, rotor, ilse, start, finish, car, state, ends, due }
}

test('a finish counts a run and its time, once; corrected it moves the time, removed it is no run', () => {
  const d = serviced()
  d.start(d.h1, d.t0)
  expect(d.car().runs).toBeUndefined()
  d.finish(d.h1, d.t0 + 5 * MINUTE)
  expect(d.car()).toMatchObject({ runs: 1, runMinutes: 5 })
  d.finish(d.h1, d.t0 + 6 * MINUTE)
  expect(d.car()).toMatchObject({ runs: 1, runMinutes: 6 })
  d.start(d.h1, d.t0 + MINUTE)
  expect(d.car()).toMatchObject({ runs: 1, runMinutes: 5 })
  // Heron was not in it.
  expect(d.view().cars.get(d.heron)?.runs).toBeUndefined()
  must(takeBackFinish(d.ilse, d.view(), { heatId: d.h1 }))
  expect(d.car()).toMatchObject({ runs: 0, runMinutes: 0 })
  d.finish(d.h1, d.t0 + 5 * MINUTE)
  must(takeBackStart(d.ilse, d.view(), { heatId: d.h1 }))
  expect(d.car()).toMatchObject({ runs: 0, runMinutes: 0 })
})

test('service falls due by runs or by hours, as a calm loose end; signed, its count begins again', () => {
  const d = serviced()
  must(changeRecord(d.m, 'kit', 'cars', d.rook, { runs: 1, runMinutes: 20 }))
  expect(d.due()).toEqual([])
  d.start(d.h1, d.t0)
  d.finish(d.h1, d.t0 + 12 * MINUTE)
  expect(d.state(d.dampers)).toMatchObject({ runs: 2, used: 1 })
  expect(d.state(d.rotor).hours).toBeCloseTo(32 / 60, 9)
  expect(d.due()).toEqual(['Rook: Check the rotor', 'Rook: Rebuild the dampers'])
  const calm = d.ends()
  expect(calm[0]).toMatchObject({
    isCalm: true,
    bitesAt: null,
    who: { personIds: ['ilse'] },
    why: '2 runs, 0.5 h since the count began',
  })
  must(signService(d.ilse, d.view(), { carId: d.rook, serviceRuleId: d.dampers }))
  expect(d.due()).toEqual(['Rook: Check the rotor'])
  expect(d.state(d.dampers)).toMatchObject({ runs: 0, used: 0, last: { done: { by: 'ilse' }, runs: 2 } })
  // Another car has a count of its own.
  must(changeRecord(d.m, 'kit', 'cars', d.heron, { runs: 7 }))
  expect(d.due()).toEqual(['Heron: Rebuild the dampers', 'Rook: Check the rotor'])
})

test('a count put right to less than at the last service says so, until it is signed anew', () => {
  const d = serviced()
  must(changeRecord(d.m, 'kit', 'cars', d.rook, { runs: 40 }))
  must(signService(d.ilse, d.view(), { carId: d.rook, serviceRuleId: d.dampers }))
  must(changeRecord(d.m, 'kit', 'cars', d.rook, { runs: 39 }))
  expect(d.due()).toEqual([])
  must(changeRecord(d.m, 'kit', 'cars', d.rook, { runs: 4 }))
  expect(d.ends()).toMatchObject([
    {
      title: 'Rook: Rebuild the dampers',
      why: 'the car’s count is less than when it was last done (40 runs): correct it, or sign the service again',
    },
  ])
  must(signService(d.ilse, d.view(), { carId: d.rook, serviceRuleId: d.dampers }))
  expect(d.due()).toEqual([])
  must(changeRecord(d.m, 'kit', 'cars', d.rook, { runs: 6 }))
  expect(d.due()).toEqual(['Rook: Rebuild the dampers'])
})

test('a rule for one car asks no other; a removed rule or act counts no more', () => {
  const d = serviced()
  must(changeRecord(d.m, 'kit', 'cars', d.rook, { runs: 5 }))
  must(changeRecord(d.m, 'kit', 'serviceRules', d.dampers, { carId: d.heron }))
  expect(serviceOf(d.view(), d.car()).map((s) => s.rule.id)).toEqual([d.rotor])
  must(changeRecord(d.m, 'kit', 'serviceRules', d.dampers, { carId: null }))
  const done = must(signService(d.ilse, d.view(), { carId: d.rook, serviceRuleId: d.dampers }))
  expect(d.state(d.dampers).used).toBe(0)
  must(removeRecord(d.ilse, 'kit', 'serviceDone', done))
  expect(d.state(d.dampers).used).toBe(2.5)
  // What somebody else signed stays, but for a manager.
  const mine = must(signService(d.m, d.view(), { carId: d.rook, serviceRuleId: d.dampers }))
  expect(removeRecord(d.ilse, 'kit', 'serviceDone', mine).ok).toBe(false)
  expect(signService(d.as('driver', 'dana'), d.view(), { carId: d.rook, serviceRuleId: d.dampers }).ok).toBe(
    false,
  )
})

test('a pack reading keeps its day, and the pack shows the newest', () => {
  const d = serviced()
  const at = Date.UTC(2026, 4, 2, 8)
  must(
    addPackReading(d.ilse, d.view(), {
      packId: 'P01',
      takenAt: at,
      resistanceMilliohm: 5,
      resistanceAtC: 25,
      cycles: 40,
    }),
  )
  must(
    addPackReading(d.ilse, d.view(), { packId: 'P01', takenAt: at - 30 * 86_400_000, resistanceMilliohm: 4 }),
  )
  expect(d.view().packs.get('P01')).toMatchObject({ resistanceMilliohm: 5, resistanceAtC: 25, cycles: 40 })
  expect(
    d
      .view()
      .packReadings.live.map((r) => r.taken?.v)
      .sort(),
  ).toEqual([at - 30 * 86_400_000, at])
  const refused = [
    { packId: 'P01', takenAt: at },
    { packId: 'P01', takenAt: at, loadedVoltageV: 7.1 },
    { packId: 'P01', takenAt: at + 86_400_000, cycles: 3 },
    { packId: 'gone', takenAt: at, cycles: 3 },
  ].map((t) => addPackReading(d.ilse, d.view(), t))
  expect(refused.map((r) => (r.ok ? null : r.error.field))).toEqual(['Pack reading', 'Load', 'Taken', 'Pack'])
  expect(d.view().packReadings.live).toHaveLength(2)
})

test('a resting voltage read out of storage is a point of the pack’s life, with its days; any other is not', () => {
  const d = serviced()
  must(setPackState(d.ilse, { packId: 'P01', state: 'storage' }))
  const stored = d.view().packs.get('P01')!.state!.at
  must(readPackVoltage(d.ilse, d.view(), { packId: 'P01', volts: 7.64 }))
  expect(d.view().packReadings.live).toEqual([])
  const later = { ...d.ilse, clock: { now: () => stored + 21 * 86_400_000 } }
  must(readPackVoltage(later, d.view(), { packId: 'P01', volts: 7.6 }))
  expect(d.view().packReadings.live).toMatchObject([{ packId: 'P01', restVoltageV: 7.6, storedDays: 21 }])
})
