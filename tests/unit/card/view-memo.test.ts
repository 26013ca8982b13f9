import { expect, test } from 'vitest'
import { addRecord, assignValue } from '@/lib/board'
import {
  cardTicket,
  ProjectionMemo,
  projectionBasis,
  quickProjections,
  ViewMemo,
  type CardTicket,
} from '@/lib/card'
import { QUICK_RESTS_ON } from '@/lib/card/projections'
import { projectionBoard } from '../../support/projection-board'
import { must } from '../../support/must'

function setUp() {
  const b = projectionBoard()
  const memo = new ViewMemo<CardTicket>()
  const other = must(addRecord(b.m, 'kit', 'cars', { name: 'Wren', drive: '2wd' }))
  const ticketOf = (carId: string, run: ReturnType<typeof b.run> | undefined) =>
    memo.get(carId, b.view(), run, (v, r) => cardTicket(v, carId, r))
  const ticket = (carId = b.carId, run = b.run()) => ticketOf(carId, run)
  return { ...b, other, ticket, ticketOf }
}

test('what was made of the board is given back while nothing that it read has changed', () => {
  const t = setUp()
  const before = t.ticket()
  must(addRecord(t.m, 'meeting', 'conditions', { airC: { v: 31, by: 'manager', at: t.now } }))
  expect(t.ticket()).toBe(before)
  must(assignValue(t.m, t.view(), { carId: t.carId, parameterId: 'pinion', value: 22 }))
  const after = t.ticket()
  expect(after).not.toBe(before)
  expect(after).toEqual(cardTicket(t.view(), t.carId, t.run()))
})

test('an edit of another car leaves a ticket alone that has no follow-up rule to ask about', () => {
  const t = setUp()
  const before = t.ticket()
  must(assignValue(t.m, t.view(), { carId: t.other, parameterId: 'pinion', value: 22 }))
  expect(t.ticket()).toBe(before)
})

test('the run’s own facts count when they were read, and only then', () => {
  const t = setUp()
  const run = t.run()
  const before = t.ticket(t.carId, run)
  expect(t.ticket(t.carId, run && { ...run, plusMinusS: run.plusMinusS + 5 })).toBe(before)
  expect(t.ticket(t.carId, run && { ...run, driverName: 'Somebody else' })).not.toBe(before)
  // The same memo, so that it must notice that the run has gone.
  expect(t.ticketOf(t.carId, undefined).hasRun).toBe(false)
})

test('whatever is read later on in another branch is watched from then on', () => {
  const b = projectionBoard()
  const memo = new ViewMemo<string>()
  const say = () =>
    memo.get('x', b.view(), undefined, (v) =>
      v.conditions.live.length ? `conditions, ${v.cars.live.length} cars` : 'none',
    )
  expect(say()).toBe('none')
  must(addRecord(b.m, 'meeting', 'conditions', { airC: { v: 20, by: 'manager', at: b.now } }))
  expect(say()).toBe('conditions, 1 cars')
  must(addRecord(b.m, 'kit', 'cars', { name: 'Wren' }))
  expect(say()).toBe('conditions, 2 cars')
})

test('the arithmetic rests on the inputs that it says it rests on, and on no others', () => {
  const b = projectionBoard({ card: { motorTiming: 30 } })
  const basis = b.basis()
  const figures = JSON.stringify(quickProjections(basis))
  for (const { id } of basis.inputs) {
    if (QUICK_RESTS_ON.has(id)) continue
    const inputs = basis.inputs.map((i) =>
      i.id === id ? { ...i, value: i.value * 1.1 + 0.1, sd: 2 * i.sd } : i,
    )
    expect(JSON.stringify(quickProjections({ ...basis, inputs })), id).toBe(figures)
  }
})

test('after an edit that the arithmetic does not rest on, it stays as it was; the ground does not', () => {
  const b = projectionBoard()
  const memo = new ProjectionMemo()
  const ground = () => memo.groundOf(b.view(), b.carId, b.run())
  const before = ground()
  must(addRecord(b.m, 'meeting', 'conditions', { airC: { v: 31, by: 'manager', at: b.now } }))
  const after = ground()
  expect(after.key).not.toBe(before.key)
  expect(after.quick).toBe(before.quick)
  expect(after.quick).toEqual(quickProjections(projectionBasis(b.view(), b.carId, b.run())))
  must(assignValue(b.m, b.view(), { carId: b.carId, parameterId: 'pinion', value: 30 }))
  expect(ground().quick).not.toBe(before.quick)
})
