import { expect, test } from 'vitest'
import { addRecord, stampStart, takeBackStart, type BoardView } from '@/lib/board'
import { forecastNow, heatsInOrder, runsNow } from '@/lib/card'
import { BoardGraph, frozenBoard, type Board, type Elsewhere } from '@/lib/derived'
import { drawOrder, type OrderQuestion } from '@/lib/planner'
import { testBoard } from '../../support/board'
import fc from '../../support/fast-check'
import { must } from '../../support/must'

const START = Date.UTC(2026, 4, 2, 8)
const SLOT = 60_000

/** A meeting of so many heats a minute apart, a car in the last one, and a thread whose answers arrive when the test says so. */
function longDay(heats: number) {
  const b = testBoard()
  const m = b.as('manager')
  const carId = must(addRecord(m, 'kit', 'cars', { name: 'Rook', drive: '2wd' }))
  for (let n = 0; n < heats; n++)
    must(addRecord(m, 'meeting', 'heats', { number: n + 1, order: n, plannedStart: START + n * SLOT }))
  const ids = heatsInOrder(b.view()).map((h) => h.id)
  must(addRecord(m, 'meeting', 'entries', { carId, heatId: ids.at(-1)! }))
  const time = { now: START - 60_000 }
  const graph = new BoardGraph(b.view, { now: () => time.now })
  const owed: (() => void)[] = []
  const thread: Elsewhere = {
    workOut: (name, question, done) => {
      expect(name).toBe('draws')
      owed.push(() => done({ answer: drawOrder(structuredClone(question) as OrderQuestion) }))
    },
  }
  const arrive = () => owed.splice(0).forEach((give) => give())
  const stamp = (n: number, late = 0) => {
    time.now = Math.max(time.now, START + n * SLOT + late)
    must(stampStart(m, b.view(), { heatId: ids[n] ?? '', at: START + n * SLOT + late, records: [] }))
    graph.refresh()
  }
  const takeBack = (n: number) => {
    must(takeBackStart(m, b.view(), { heatId: ids[n] ?? '' }))
    graph.refresh()
  }
  const fromNothing = <T>(fact: (board: Board) => T) => fact(frozenBoard(b.view() as BoardView, time.now))
  return { ...b, ids, time, graph, thread, owed, arrive, stamp, takeBack, fromNothing }
}

test('a start stamped on a long day stands at once; the heats to come move when the thread has drawn them', () => {
  const t = longDay(130)
  t.graph.lend(t.thread)
  const startOf = (n: number) => t.graph.ask(forecastNow).heats.get(t.ids[n] ?? '')?.startAt ?? NaN
  t.stamp(0)
  startOf(120)
  t.time.now = START + SLOT + 420_000
  t.graph.refresh()
  const before = startOf(120)
  // Seven minutes late, of which the plan of a minute apart can make up nothing.
  t.stamp(1, 420_000)
  expect(startOf(1)).toBe(START + SLOT + 420_000)
  expect(startOf(120)).toBe(before)
  expect(t.owed).toHaveLength(1)
  t.arrive()
  expect(startOf(120)).not.toBe(before)
  expect(t.graph.ask(forecastNow)).toEqual(t.fromNothing(forecastNow))
})

test('a day of a hundred heats or fewer is drawn here and now', () => {
  const t = longDay(101)
  t.graph.lend(t.thread)
  t.graph.ask(forecastNow)
  t.stamp(0)
  expect(t.graph.ask(forecastNow)).toEqual(t.fromNothing(forecastNow))
  expect(t.owed).toHaveLength(0)
})

test('whatever is stamped and taken back, and whenever an answer arrives: once all have, the day is what it is derived from nothing', () => {
  const acts = fc.array(
    fc.oneof(
      { weight: 4, arbitrary: fc.record({ do: fc.constant('stamp' as const), late: fc.nat(500_000) }) },
      { weight: 1, arbitrary: fc.record({ do: fc.constant('take back' as const), late: fc.constant(0) }) },
      { weight: 2, arbitrary: fc.record({ do: fc.constant('arrive' as const), late: fc.constant(0) }) },
      { weight: 1, arbitrary: fc.record({ do: fc.constant('wait' as const), late: fc.nat(900_000) }) },
    ),
    { minLength: 1, maxLength: 8 },
  )
  let asked = 0
  fc.assert(
    fc.property(acts, fc.boolean(), (list, isWatched) => {
      const t = longDay(125)
      t.graph.lend(t.thread)
      const cell = t.graph.cell(runsNow)
      if (isWatched) cell.subscribe(() => void cell.read())
      t.graph.ask(forecastNow)
      let next = 0
      for (const { do: what, late } of list) {
        if (what === 'stamp') t.stamp(next++, late)
        if (what === 'take back' && next > 0) t.takeBack(--next)
        if (what === 'wait') {
          t.time.now += late
          t.graph.refresh()
        }
        t.graph.ask(forecastNow)
        asked += t.owed.length
        if (what === 'arrive') t.arrive()
      }
      // An answer is asked for when somebody looks.
      t.graph.ask(forecastNow)
      t.arrive()
      expect(t.graph.ask(forecastNow)).toEqual(t.fromNothing(forecastNow))
      expect(cell.read()).toEqual(t.fromNothing(runsNow))
      t.close()
    }),
    { numRuns: 25 },
  )
  expect(asked).toBeGreaterThan(25)
})
