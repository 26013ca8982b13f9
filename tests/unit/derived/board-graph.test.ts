import * as Y from 'yjs'
import { expect, test } from 'vitest'
import { changeRecord } from '@/lib/board'
import { BoardGraph, derived, type Board } from '@/lib/derived'
import { testBoard } from '../../support/board'
import { must } from '../../support/must'

function setUp() {
  const b = testBoard()
  const m = b.as('manager')
  const time = { now: 1_234_567 }
  const name = (id: string, text: string) => {
    must(changeRecord(m, 'kit', 'cars', id, { name: text }))
    graph.refresh()
  }
  const person = (id: string, text: string) => {
    must(changeRecord(m, 'kit', 'people', id, { name: text }))
    graph.refresh()
  }
  const graph = new BoardGraph(b.view, { now: () => time.now })
  name('rook', 'Rook')
  person('dana', 'Dana')
  const told: string[] = []
  const watch = (what: string, question: (board: Board) => unknown) =>
    graph.cell(question).subscribe(() => told.push(what))
  return { ...b, m, time, graph, name, person, told, watch }
}

test('the clock is cut to whole steps, each of its own, and goes on with a refresh alone', () => {
  const t = setUp()
  const steps = () => t.graph.ask((board) => [board.now(1000), board.now(60_000), board.now(1)])
  expect(steps()).toEqual([1_234_000, 1_200_000, 1_234_567])
  t.time.now += 5000
  expect(steps()).toEqual([1_234_000, 1_200_000, 1_234_567])
  t.graph.refresh()
  expect(steps()).toEqual([1_239_000, 1_200_000, 1_239_567])
})

test('a board says whether it has a meeting, and what of it can’t be read', () => {
  const t = setUp()
  const kitOnly = testBoard({ kit: new Y.Doc(), meeting: null })
  const graph = new BoardGraph(kitOnly.view, { now: () => 0 })
  expect([t.graph.board.hasMeeting, graph.board.hasMeeting]).toEqual([true, false])
  expect(Object.keys(t.graph.board)).toContain('damaged')
  t.watch('damaged', (board) => board.damaged.map((d) => d.field))
  t.name('rook', 'Raven')
  expect(t.told).toEqual([])
  t.docs.kit.getMap('cars').set('rook:name', 17)
  t.graph.refresh()
  expect(t.graph.ask((board) => board.damaged.map((d) => [d.collection, d.recordId, d.field]))).toEqual([
    ['cars', 'rook', 'name'],
  ])
  expect(t.told).toEqual(['damaged'])
})

test('a list, all its records and one record are each what the board has, before a change and after', () => {
  const t = setUp()
  const seen = () =>
    t.graph.ask(({ cars }) => [
      cars.live.map((c) => c.name),
      [...cars.all.keys()],
      cars.get('rook')?.name,
      cars.get('wren')?.name,
      cars.get(null),
      cars.get(undefined),
    ])
  expect(seen()).toEqual([['Rook'], ['rook'], 'Rook', undefined, undefined, undefined])
  t.name('wren', 'Wren')
  expect(seen()).toEqual([['Rook', 'Wren'], ['rook', 'wren'], 'Rook', 'Wren', undefined, undefined])
})

test('keys of several parts do not run together', () => {
  const t = setUp()
  const both = derived((_: Board, a: string, b: string) => `${a}-${b}`)
  expect(t.graph.ask((board) => [both(board, 'a', 'bc'), both(board, 'ab', 'c')])).toEqual(['a-bc', 'ab-c'])
})

test('two facts of the same key are two facts', () => {
  const t = setUp()
  const one = derived((_: Board, id: string) => `one ${id}`)
  const two = derived((_: Board, id: string) => `two ${id}`)
  expect(t.graph.ask((board) => [one(board, 'x'), two(board, 'x'), one(board, 'x')])).toEqual([
    'one x',
    'two x',
    'one x',
  ])
})

test('whoever watches is told of changes alone, not of what was there, and reading does not watch', () => {
  const t = setUp()
  const dana = t.graph.cell((board) => board.people.get('dana')?.name)
  t.watch('rook', (board) => [board.cars.get('rook')?.name, dana.read()])
  t.watch('asked', (board) => [board.cars.get('wren'), t.graph.ask((b) => b.people.live)])
  expect(t.told).toEqual([])
  t.person('dana', 'Dana Reed')
  expect(t.told).toEqual([])
  t.name('rook', 'Raven')
  expect(t.told).toEqual(['rook'])
})

test('what is looked at while being told is not watched by that', () => {
  const t = setUp()
  let told = 0
  t.graph
    .cell((board) => board.cars.live.length)
    .subscribe(() => {
      told++
      void t.graph.board.people.live
    })
  t.name('wren', 'Wren')
  t.person('dana', 'Dana Reed')
  expect(told).toBe(1)
})

test('one refresh tells once, whatever has changed in it', () => {
  const t = setUp()
  t.watch('both', (board) => [board.cars.live, board.people.live, board.now(1)])
  must(changeRecord(t.m, 'kit', 'cars', 'wren', { name: 'Wren' }))
  must(changeRecord(t.m, 'kit', 'people', 'eli', { name: 'Eli' }))
  t.time.now += 7
  t.graph.refresh()
  expect(t.told).toEqual(['both'])
})
