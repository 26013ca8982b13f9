import { expect, test } from 'vitest'
import {
  addRecord,
  assignPack,
  assignValue,
  changeRecord,
  fitValue,
  joinId,
  putPackIn,
  readBackValue,
  signCheck,
  signFollowUp,
  statePowerCycle,
  type BoardView,
} from '@/lib/board'
import { isCycled, isReadBack, stampDigest } from '@/lib/board/read-back'
import { cardRow, checklistsOf, followUpsOf, looseEnds } from '@/lib/card'
import type { Json } from '@/lib/core/json'
import { merge, testBoard } from '../../support/board'
import { must } from '../../support/must'

const NOW = Date.UTC(2026, 4, 2, 9, 30)
type Proof = Parameters<typeof isReadBack>[0]

/** One car with two speed-control values, the starter kit's rule for reading back, and a run to come. */
function car() {
  const b = testBoard()
  const m = b.as('manager')
  const controllerId = must(addRecord(m, 'kit', 'controllers', { name: 'Blue' }))
  const value = (label: string) =>
    `esc.${must(addRecord(m, 'kit', 'controllerParameters', { controllerId, label, min: 0, max: 20, step: 1 }))}`
  const [drag, punch] = [value('Drag'), value('Punch')]
  const carId = must(addRecord(m, 'kit', 'cars', { name: 'Rook', controllerId }))
  must(changeRecord(m, 'kit', 'followUpRules', 'power-cycle', { name: 'Read back', triggers: ['esc.*'] }))
  const heatId = must(addRecord(m, 'meeting', 'heats', { number: 1, plannedStart: Date.UTC(2026, 4, 2, 10) }))
  const runId = must(addRecord(m, 'meeting', 'entries', { heatId, carId, driverName: 'Dana' }))
  const fit = (parameterId: string, v: number) => {
    must(assignValue(m, b.view(), { carId, parameterId, value: v }))
    must(fitValue(m, b.view(), { carId, parameterId, value: v }))
  }
  const read = (parameterId: string, v: number) =>
    readBackValue(m, b.view(), { carId, parameterId, value: v })
  const cycle = () => statePowerCycle(m, b.view(), { carId })
  const row = (parameterId: string) =>
    cardRow(b.view(), carId, {
      id: parameterId,
      group: 'control',
      label: '',
      unit: '',
      kind: 'number',
      needsReadBack: true,
    })
  const rule = () => followUpsOf(b.view(), carId).find((f) => f.ruleId === 'power-cycle')!
  const acts = (view: BoardView = b.view()) => looseEnds(view, NOW).map((e) => e.act.kind)
  return { ...b, m, carId, runId, heatId, drag, punch, fit, read, cycle, row, rule, acts }
}

test('a reading is taken only after a power cycle that was stated for what is fitted now', () => {
  const d = car()
  d.fit(d.drag, 10)
  expect(d.read(d.drag, 10)).toMatchObject({ ok: false })
  expect(d.row(d.drag).readBack).toBe(false)
  must(d.cycle())
  must(d.read(d.drag, 10))
  expect(d.row(d.drag).state).toBe('equal')
  // Dialled in once more, even to the same: what was read before says nothing about it.
  d.fit(d.drag, 10)
  expect(d.row(d.drag).state).toBe('not-read-back')
  expect(d.read(d.drag, 10)).toMatchObject({ ok: false })
})

test('a power cycle is asked for once for all values, then each reading', () => {
  const d = car()
  d.fit(d.drag, 10)
  d.fit(d.punch, 5)
  const control = () => d.acts().filter((k) => k === 'power-cycle' || k === 'read-back')
  expect(control()).toEqual(['power-cycle'])
  expect(must(d.cycle())).toBe(2)
  expect(control()).toEqual(['read-back', 'read-back'])
  must(d.read(d.drag, 10))
  must(d.read(d.punch, 5))
  expect(control()).toEqual([])
})

test('reading all of them back closes the follow-up, and no signature does', () => {
  const d = car()
  d.fit(d.drag, 10)
  d.fit(d.drag, 11)
  d.fit(d.punch, 5)
  expect(d.rule()).toMatchObject({ state: 'open', byReading: true })
  expect(signFollowUp(d.m, { carId: d.carId, ruleId: 'power-cycle', covers: d.rule().covers })).toMatchObject(
    { ok: false },
  )
  must(d.cycle())
  must(d.read(d.drag, 11))
  expect(d.rule().state).toBe('open')
  must(d.read(d.punch, 5))
  expect(d.rule()).toMatchObject({ state: 'signed', signed: { by: 'manager' } })
  d.fit(d.punch, 6)
  expect(d.rule()).toMatchObject({ state: 'open', signed: null })
})

test('a reading that shows something else becomes what is fitted, and is proven by the same power cycle', () => {
  const d = car()
  d.fit(d.drag, 10)
  must(d.cycle())
  must(d.read(d.drag, 8))
  expect(d.row(d.drag)).toMatchObject({ fitted: 8, readBack: true, state: 'differs' })
})

test('wrong clocks: a power cycle of before, stamped a day ahead, proves nothing that was fitted after it', () => {
  const d = car()
  d.fit(d.drag, 10)
  const ahead = { ...d.m, clock: { now: () => NOW + 86_400_000 } }
  must(statePowerCycle(ahead, d.view(), { carId: d.carId }))
  must(readBackValue(ahead, d.view(), { carId: d.carId, parameterId: d.drag, value: 10 }))
  d.fit(d.drag, 10)
  expect(d.row(d.drag)).toMatchObject({ cycled: false, readBack: false })
})

test('a value dialed in on another phone meanwhile is not proven by the power cycle of this one', () => {
  const a = car()
  a.fit(a.drag, 10)
  const b = testBoard()
  merge(a.docs, b.docs)
  must(a.cycle())
  must(a.read(a.drag, 10))
  must(fitValue(b.as('mechanic'), b.view(), { carId: a.carId, parameterId: a.drag, value: 10 }))
  merge(a.docs, b.docs)
  const fittedBy = a.view().cardValues.get(joinId(a.carId, a.drag))?.fitted?.by
  expect(a.row(a.drag).readBack).toBe(fittedBy === 'manager')
})

test('a checklist item that is tied to a fact can’t stay signed when the fact turns false', () => {
  const d = car()
  const list = must(addRecord(d.m, 'kit', 'checklists', { name: 'Before', kind: 'before-staging' }))
  const itemId = must(
    addRecord(d.m, 'kit', 'checklistItems', { checklistId: list, text: 'Pack in', fact: 'powered' }),
  )
  for (const id of ['P01', 'P02']) must(changeRecord(d.m, 'kit', 'packs', id, { label: id }))
  const item = () => checklistsOf(d.view(), d.runId, ['before-staging'])[0]!.items[0]!
  const putIn = (packId: string) => {
    must(assignPack(d.m, d.view(), { runId: d.runId, packId }))
    must(putPackIn(d.m, d.view(), { runId: d.runId, packId, restVoltageV: 8.3 }))
  }
  const sign = () =>
    must(signCheck(d.m, { scopeId: d.runId, itemId, covers: item().fact?.covers, done: true }))
  sign()
  expect(item()).toMatchObject({ signed: null, fact: { missing: ['no pack assigned'] } })
  putIn('P01')
  expect(item().signed).toBeNull()
  sign()
  expect(item().signed).not.toBeNull()
  // Promised another one: the signature was for the first.
  must(assignPack(d.m, d.view(), { runId: d.runId, packId: 'P02' }))
  expect(item().signed).toBeNull()
  putIn('P02')
  expect(item()).toMatchObject({ signed: null, fact: { missing: [] } })
})

test('each stamp proves the one before it, and nothing else does', () => {
  const hand = (v: Json, more: object = {}) => ({ v, by: 'ilse', at: NOW, ...more })
  const fitted = hand(10)
  const cycled = hand(stampDigest(fitted))
  const readBack = hand(10, { covers: stampDigest(cycled) })
  const proof = (over: object): Proof => ({ fitted, cycled, readBack, ...over }) as Proof
  expect([isCycled(proof({})), isReadBack(proof({}))]).toEqual([true, true])
  const emptied = hand(null)
  const ofEmptied = hand(stampDigest(emptied))
  for (const [says, over, expected] of [
    ['nothing is fitted', { fitted: undefined }, [false, false]],
    ['what was fitted is taken back', { fitted: emptied, cycled: ofEmptied }, [false, false]],
    ['no power cycle was stated', { cycled: undefined }, [false, false]],
    ['the power cycle was of another fitting', { cycled: hand(stampDigest(hand(9))) }, [false, false]],
    ['nothing was read', { readBack: undefined }, [true, false]],
    ['something else was read', { readBack: { ...readBack, v: 9 } }, [true, false]],
    [
      'it was read after another power cycle',
      { readBack: { ...readBack, covers: stampDigest(hand(1)) } },
      [true, false],
    ],
  ] as const)
    expect([isCycled(proof(over)), isReadBack(proof(over))], says).toEqual(expected)
})
