import { expect, test } from 'vitest'
import { changeRecord, type BoardView } from '@/lib/board'
import { derived, frozenBoard, isFact, type Board } from '@/lib/derived'
import { keepEqual } from '@/lib/derived/keep-equal'
import { testBoard } from '../../support/board'
import { must } from '../../support/must'

test('a frozen board makes each fact once for each key, has its records and its moment', () => {
  const b = testBoard()
  must(changeRecord(b.as('manager'), 'kit', 'cars', 'rook', { name: 'Rook' }))
  const made: string[] = []
  const fact = (name: string) =>
    derived((board: Board, id: string) => {
      made.push(`${name} ${id}`)
      return board.cars.get(id)?.name
    })
  const [one, two] = [fact('one'), fact('two')]
  const board = frozenBoard(b.view(), 1_234_567)
  expect([one(board, 'rook'), one(board, 'rook'), two(board, 'rook'), one(board, 'wren')]).toEqual([
    'Rook',
    'Rook',
    'Rook',
    undefined,
  ])
  expect(one(board, 'wren')).toBeUndefined()
  expect(made).toEqual(['one rook', 'two rook', 'one wren'])
  expect([board.now(1000), board.now(60_000)]).toEqual([1_234_000, 1_200_000])
  expect(board.hasMeeting).toBe(true)
})

test('a plain view remembers nothing: the fact is computed each time', () => {
  const b = testBoard()
  let made = 0
  const cars = derived((board: BoardView) => {
    made++
    return board.cars.live.length
  })
  expect([cars(b.view()), cars(b.view()), made]).toEqual([0, 0, 2])
})

test('a fact is told from any other function', () => {
  expect(isFact(derived((board: BoardView) => board.cars.live))).toBe(true)
  expect([() => 1, {}, null, 'fact'].map(isFact)).toEqual([false, false, false, false])
})

test('what says the same stays the same object; of a list that changed, each element that does', () => {
  const before = { a: [1, { b: 2 }] }
  expect(keepEqual(before, { a: [1, { b: 2 }] })).toBe(before)
  const after = { a: [1, { b: 3 }] }
  expect(keepEqual(before, after)).toBe(after)
  expect(keepEqual(undefined, after)).toBe(after)
  const list = [{ id: 1 }, { id: 2 }, { id: 3 }]
  const kept = keepEqual(list, [{ id: 1 }, { id: 9 }, { id: 3 }, { id: 4 }])
  expect(kept).toEqual([{ id: 1 }, { id: 9 }, { id: 3 }, { id: 4 }])
  expect([kept[0] === list[0], kept[1] === list[1], kept[2] === list[2]]).toEqual([true, false, true])
  expect(keepEqual(list, [{ id: 1 }])).toEqual([{ id: 1 }])
})

test('a list in the place of something else, and something else in the place of a list, is taken as it is', () => {
  const list: unknown = ['a']
  const text: unknown = { 0: 'a' }
  expect(keepEqual(text, list)).toBe(list)
  expect(keepEqual(list, text)).toBe(text)
  expect(keepEqual<unknown>(null, list)).toBe(list)
})
