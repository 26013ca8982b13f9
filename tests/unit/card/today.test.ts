import { expect, test } from 'vitest'
import { addRecord, assignValue, changeRecord } from '@/lib/board'
import { cardGround, cardTicket, projectionBasis, quickProjections, runsNow, ticketNow } from '@/lib/card'
import { BoardGraph, derived, type Board } from '@/lib/derived'
import { projectionBoard } from '../../support/projection-board'
import { must } from '../../support/must'

function setUp() {
  const b = projectionBoard()
  const time = { now: b.now }
  const other = must(addRecord(b.m, 'kit', 'cars', { name: 'Wren', drive: '2wd' }))
  const graph = new BoardGraph(b.view, { now: () => time.now })
  const ask = <T>(question: (board: Board) => T): T => {
    graph.refresh()
    return graph.ask(question)
  }
  const warm = (airC: number) =>
    must(addRecord(b.m, 'meeting', 'conditions', { airC: { v: airC, by: 'manager', at: b.now + airC } }))
  const gear = (carId: string, value: number) =>
    must(assignValue(b.m, b.view(), { carId, parameterId: 'pinion', value }))
  return {
    ...b,
    time,
    other,
    graph,
    ask,
    warm,
    gear,
    ticket: () => ask((board) => ticketNow(board, b.carId)),
  }
}

test('what was made of the board is given back while nothing that it read has changed', () => {
  const t = setUp()
  const before = t.ticket()
  t.warm(31)
  expect(t.ticket()).toBe(before)
  t.gear(t.carId, 22)
  const after = t.ticket()
  expect(after).not.toBe(before)
  expect(after).toEqual(cardTicket(t.view(), t.carId, t.run()))
})

test('what is made anew and says the same is the same object, and what rests on it is left alone', () => {
  const t = setUp()
  let made = 0
  const cars = derived((board: Board) => board.cars.live.map((c) => c.name))
  const count = derived((board: Board) => {
    made++
    return cars(board).length
  })
  expect(t.ask(count)).toBe(2)
  const before = t.ask(cars)
  must(changeRecord(t.m, 'kit', 'cars', t.other, { carNumber: '7' }))
  expect(t.ask(cars)).toBe(before)
  expect(t.ask(count)).toBe(2)
  expect(made).toBe(1)
})

test('of a list that changed, what did not change is the same object', () => {
  const t = setUp()
  must(addRecord(t.m, 'meeting', 'entries', { heatId: t.heatId, carId: t.other, driverName: 'Eli' }))
  const before = t.ask(runsNow)
  must(changeRecord(t.m, 'kit', 'cars', t.other, { name: 'Zander' }))
  const after = t.ask(runsNow)
  expect(after).not.toBe(before)
  expect(after.map((r) => r.carName)).toEqual(['Rook', 'Zander'])
  expect(after[0]).toBe(before[0])
})

test('whatever is read later on in another branch is watched from then on', () => {
  const t = setUp()
  const words = derived((board: Board) =>
    board.conditions.live.length ? `conditions, ${board.cars.live.length} cars` : 'none',
  )
  expect(t.ask(words)).toBe('none')
  t.warm(20)
  expect(t.ask(words)).toBe('conditions, 2 cars')
  must(addRecord(t.m, 'kit', 'cars', { name: 'Crake' }))
  expect(t.ask(words)).toBe('conditions, 3 cars')
})

test('who watches one record hears of that one alone; a record that is not there yet is watched too', () => {
  const t = setUp()
  const told: string[] = []
  const stops = [t.carId, t.other, 'not-there-yet'].map((id) =>
    t.graph.cell((board) => board.cars.get(id)?.name).subscribe(() => told.push(id)),
  )
  must(changeRecord(t.m, 'kit', 'cars', t.other, { name: 'Dipper' }))
  t.graph.refresh()
  expect(told).toEqual([t.other])
  must(changeRecord(t.m, 'kit', 'cars', 'not-there-yet', { name: 'Crake' }))
  t.graph.refresh()
  expect(told).toEqual([t.other, 'not-there-yet'])
  stops.forEach((stop) => stop())
  must(changeRecord(t.m, 'kit', 'cars', t.other, { name: 'Wren' }))
  t.graph.refresh()
  expect(told).toHaveLength(2)
})

test('what follows the clock is told when its step turns, and only if it then says something else', () => {
  const t = setUp()
  const told: string[] = []
  t.graph.cell((board) => runsNow(board)[0]?.state).subscribe(() => told.push('run'))
  t.graph.cell((board) => board.now(60_000)).subscribe(() => told.push('minute'))
  t.time.now += 5000
  t.graph.refresh()
  expect(told).toEqual([])
  t.time.now += 60_000
  t.graph.refresh()
  expect(told).toEqual(['minute'])
  t.time.now += 3_600_000
  t.graph.refresh()
  expect(told.sort()).toEqual(['minute', 'minute', 'run'])
})

test('a fact that fails does not hold up the others, and says so to whoever reads it', () => {
  const t = setUp()
  const broken = t.graph.cell((board) => {
    if (board.cars.live.length > 2) throw new Error('too many cars')
    return board.cars.live.length
  })
  const told: string[] = []
  broken.subscribe(() => told.push('broken'))
  t.graph.cell((board) => board.cars.live.length).subscribe(() => told.push('well'))
  must(addRecord(t.m, 'kit', 'cars', { name: 'Crake' }))
  t.graph.refresh()
  expect(told.sort()).toEqual(['broken', 'well'])
  expect(() => broken.read()).toThrow('too many cars')
  expect(() => t.ask((board) => board.cars)).not.toThrow()
  expect(() => t.graph.cell((board) => board.cars).read()).toThrow('Ask for records')
})

test('after an edit of one card only that card’s ground is made anew', () => {
  const t = setUp()
  const ground = () => t.ask((board) => [t.carId, t.other].map((id) => cardGround(board, id, '')))
  const before = ground()
  expect(ground()).toEqual(before)
  t.gear(t.carId, 30)
  const after = ground()
  expect(after[1]).toBe(before[1])
  expect(after[0]?.key).not.toBe(before[0]?.key)
})

test('after an edit that the arithmetic does not rest on, it stays as it was; the ground does not', () => {
  const t = setUp()
  const ground = () => t.ask((board) => cardGround(board, t.carId, t.runId))
  const before = ground()
  t.warm(31)
  const after = ground()
  expect(after.key).not.toBe(before.key)
  expect(after.quick).toBe(before.quick)
  expect(after.quick).toEqual(quickProjections(projectionBasis(t.view(), t.carId, t.run())))
  t.gear(t.carId, 30)
  expect(ground().quick).not.toBe(before.quick)
})
