import { expect, test } from 'vitest'
import {
  acceptRun,
  assignPack,
  assignTires,
  assignValue,
  changeRecord,
  putPackIn,
  putTiresOn,
  sendBack,
  setPackState,
} from '@/lib/board'
import { runDigest } from '@/lib/card'
import { runLooseEnds } from '@/lib/card/loose-ends/run-loose-ends'
import { must } from '../../support/must'
import { prepareRook, raceDay } from '../../support/race-day-board'

const MINUTE = 60_000
const mechanic = { personIds: ['ilse'], role: 'mechanic' }
const driver = { personIds: ['dana'], role: 'driver' }

/** Rook's first run, at a time before its call; nothing is prepared. */
function setUp() {
  const d = raceDay()
  const runId = d.runs.rook1
  const call = d.run(runId).callAt!
  const ends = (now = call - 20 * MINUTE) => runLooseEnds(d.view(), d.run(runId), now)
  const end = (id: string, now?: number) => ends(now).find((e) => e.id === `${id}:${runId}`)
  const own = { carId: d.rook, runId }
  return { ...d, runId, call, ends, end, own }
}

test('long before the call a bare run lacks its pack and its tires, and nothing else is asked for', () => {
  const t = setUp()
  expect(t.ends(t.call - 60 * MINUTE)).toEqual([
    {
      ...t.own,
      id: `no-pack:${t.runId}`,
      title: 'Rook, heat 1: no pack assigned',
      why: 'a pack needs about an hour on charge',
      who: mechanic,
      bitesAt: t.call - 60 * MINUTE,
      act: { kind: 'choose-pack', runIds: [t.runId] },
    },
    {
      ...t.own,
      id: `no-tires:${t.runId}`,
      title: 'Rook, heat 1: no tires assigned',
      why: 'they may need gluing or cleaning',
      who: mechanic,
      bitesAt: t.call - 30 * MINUTE,
      act: { kind: 'choose-tires', runIds: [t.runId] },
    },
  ])
})

test('checks and the driver’s word are asked for from three quarters of an hour before the call', () => {
  const t = setUp()
  const kinds = (now: number) => t.ends(now).map((e) => e.id.split(':')[0])
  expect(kinds(t.call - 45 * MINUTE)).toEqual(['no-pack', 'no-tires'])
  expect(kinds(t.call - 45 * MINUTE + 1)).toEqual(['no-pack', 'no-tires', 'check', 'accept'])
  expect(t.ends().slice(2)).toEqual([
    {
      ...t.own,
      id: `check:${t.runId}:${t.list}`,
      title: 'Rook, heat 1: Before staging, 1 of 1 open',
      why: 'to be signed before the call',
      who: mechanic,
      bitesAt: t.call,
      act: { kind: 'open-checklist', runId: t.runId },
    },
    {
      ...t.own,
      id: `accept:${t.runId}`,
      title: 'Rook, heat 1: not accepted yet',
      why: `${t.run(t.runId).driverName} has to check it before staging`,
      who: driver,
      bitesAt: t.call,
      act: { kind: 'open-staging', runId: t.runId },
    },
  ])
})

test('without a time of the call nothing of it is near, and nothing says when it bites', () => {
  const t = setUp()
  const ends = runLooseEnds(t.view(), { ...t.run(t.runId), callAt: null, startAt: null }, t.now)
  expect(ends.map((e) => [e.id, e.bitesAt])).toEqual([
    [`no-pack:${t.runId}`, null],
    [`no-tires:${t.runId}`, null],
  ])
})

test('a pack that is not charged says how it is, one that does not fit says to choose another', () => {
  const t = setUp()
  must(assignPack(t.m, t.view(), { runId: t.runId, packId: 'P02' }))
  const problems = () => t.ends().filter((e) => e.id.startsWith('pack:'))
  expect(problems()).toEqual([
    {
      ...t.own,
      id: `pack:${t.runId}:P02 has 3 cells, the class runs 2`,
      title: 'Rook, heat 1: P02 has 3 cells, the class runs 2',
      why: 'choose another pack',
      who: mechanic,
      bitesAt: t.call - 60 * MINUTE,
      act: { kind: 'choose-pack', runIds: [t.runId] },
    },
    {
      ...t.own,
      id: `pack:${t.runId}:P02 is not charged`,
      title: 'Rook, heat 1: P02 is not charged',
      why: 'it has no state',
      who: mechanic,
      bitesAt: t.call - 60 * MINUTE,
      act: { kind: 'pack-state', packId: 'P02' },
    },
  ])
  must(setPackState(t.m, { packId: 'P02', state: 'resting' }))
  expect(problems()[1]?.why).toBe('it is cooling down')
  expect(t.end('no-pack')).toBeUndefined()
})

test('a charged pack that lies beside the car is said near the call, and no more once it is in', () => {
  const t = setUp()
  must(assignPack(t.m, t.view(), { runId: t.runId, packId: 'P01' }))
  expect(t.end('pack-in')).toBeUndefined()
  must(setPackState(t.m, { packId: 'P01', state: 'charged' }))
  expect(t.end('pack-in')).toEqual({
    ...t.own,
    id: `pack-in:${t.runId}`,
    title: 'Rook, heat 1: P01 is charged, not in the car',
    why: 'strap it in and measure its voltage',
    who: mechanic,
    bitesAt: t.call - 5 * MINUTE,
    act: { kind: 'pack-in', runId: t.runId, packId: 'P01' },
  })
  expect(t.end('pack-in', t.call - 50 * MINUTE)).toBeUndefined()
  must(putPackIn(t.m, t.view(), { runId: t.runId, packId: 'P01', restVoltageV: 8.3 }))
  expect(t.end('pack-in')).toBeUndefined()
})

test('a voltage over the limit counts for the pack that is in the car, and at the limit it is legal', () => {
  const t = setUp()
  must(assignPack(t.m, t.view(), { runId: t.runId, packId: 'P01' }))
  must(putPackIn(t.m, t.view(), { runId: t.runId, packId: 'P01', restVoltageV: 8.42 }))
  expect(t.end('voltage')).toBeUndefined()
  must(putPackIn(t.m, t.view(), { runId: t.runId, packId: 'P01', restVoltageV: 8.5 }))
  expect(t.end('voltage', t.call - 60 * MINUTE)).toEqual({
    ...t.own,
    id: `voltage:${t.runId}`,
    title: 'Rook, heat 1: P01 at 8.50 V is over 8.42 V',
    why: 'it would fail inspection',
    who: mechanic,
    bitesAt: t.call - 5 * MINUTE,
    act: { kind: 'pack-state', packId: 'P01' },
  })
  // In another car's run by now: its voltage is no trouble of this run.
  const run = t.run(t.runId)
  const elsewhere = { ...run, run: { ...run.run!, packIn: undefined } }
  const ids = runLooseEnds(t.view(), elsewhere, t.now).map((e) => e.id)
  expect(ids).not.toContain(`voltage:${t.runId}`)
  const noLimit = { ...run, raceClass: undefined }
  expect(runLooseEnds(t.view(), noLimit, t.now).map((e) => e.id)).not.toContain(`voltage:${t.runId}`)
})

test('assigned tires that are not on the car are said near the call', () => {
  const t = setUp()
  must(assignTires(t.m, t.view(), { runId: t.runId, tireSetId: 'T01' }))
  expect(t.end('no-tires')).toBeUndefined()
  expect(t.end('tires-on')).toEqual({
    ...t.own,
    id: `tires-on:${t.runId}`,
    title: 'Rook, heat 1: T01 not on the car',
    why: 'mount them and check the wheel nuts',
    who: mechanic,
    bitesAt: t.call - 5 * MINUTE,
    act: { kind: 'tires-on', runId: t.runId, tireSetId: 'T01' },
  })
  must(putTiresOn(t.m, t.view(), { runId: t.runId, tireSetId: 'T01' }))
  expect(t.end('tires-on')).toBeUndefined()
})

test('pack and tires that have left the kit are named by what they are', () => {
  const t = setUp()
  const run = t.run(t.runId)
  const stamp = { by: 'boss', at: t.now }
  const lost = { ...run, run: { ...run.run, id: t.runId, tireSetId: { v: 'T99', ...stamp } } }
  expect(runLooseEnds(t.view(), lost as typeof run, t.now).map((e) => e.title)).toContain(
    'Rook, heat 1: tires not on the car',
  )
  const gone = { ...run, run: { ...run.run, id: t.runId, packId: { v: 'P99', ...stamp } } }
  expect(runLooseEnds(t.view(), gone as typeof run, t.now).map((e) => e.title)).toContain(
    'Rook, heat 1: the assigned pack is not in the kit',
  )
})

test('an accept that turned void is said to its driver; one that stands is not, and neither is one that was sent back', () => {
  const t = setUp()
  prepareRook(t)
  expect(t.ends()).toEqual([])
  must(assignValue(t.m, t.view(), { carId: t.rook, parameterId: 'pinion', value: 23 }))
  expect(t.end('accept')).toMatchObject({
    title: 'Rook, heat 1: changed since it was accepted',
    why: `${t.run(t.runId).driverName} has to check it again`,
    who: driver,
  })
  must(changeRecord(t.m, 'kit', 'people', 'dana', { name: 'Dana' }))
  must(sendBack(t.as('driver', 'dana'), t.view(), { runId: t.runId, why: 'pulls left' }))
  expect(t.end('accept')).toBeUndefined()
  expect(t.end('sent-back', t.call - 60 * MINUTE)).toEqual({
    ...t.own,
    id: `sent-back:${t.runId}`,
    title: 'Rook sent back by Dana',
    why: 'pulls left',
    who: mechanic,
    bitesAt: t.call - 10 * MINUTE,
    act: { kind: 'open-card', carId: t.rook },
  })
  must(
    acceptRun(t.as('driver', 'dana'), t.view(), {
      runId: t.runId,
      digest: runDigest(t.view(), t.run(t.runId)),
    }),
  )
  expect(t.ends().map((e) => e.id.split(':')[0])).not.toContain('sent-back')
})

test('a car without a driver asks nobody by name, and somebody unknown who sent it back is “the driver”', () => {
  const t = setUp()
  must(sendBack(t.as('driver', 'dana'), t.view(), { runId: t.runId, why: 'pulls left' }))
  expect(t.end('sent-back')?.title).toBe('Rook sent back by the driver')
  const nobody = { ...t.run(t.runId), driverId: null, run: undefined }
  const accept = runLooseEnds(t.view(), nobody, t.now).find((e) => e.id.startsWith('accept'))
  expect(accept?.who).toEqual({ personIds: [], role: 'driver' })
})
