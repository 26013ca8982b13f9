import { expect, test, vi } from 'vitest'
import { changeRecord } from '@/lib/board'
import { BoardGraph, derived, frozenBoard, workedOut, type Board, type Elsewhere } from '@/lib/derived'
import { testBoard } from '../../support/board'
import { must } from '../../support/must'

type Done = Parameters<Elsewhere['workOut']>[2]

/** A board of three cars whose names take long to be put into one text, and a thread that is worked by hand. */
function setUp({ isLong = true } = {}) {
  const b = testBoard()
  const m = b.as('manager')
  const made: string[] = []
  const text = workedOut({
    name: 'text',
    question: (board: Board) => board.cars.live.map((c) => c.name ?? ''),
    answer: (names) => {
      made.push(names.join('+'))
      return names.join('+')
    },
    isLong: () => isLong,
    meanwhile: (names, last) =>
      names.length === last.question.length ? `${last.answer}, not yet ${names.join('+')}` : undefined,
  })
  const graph = new BoardGraph(b.view, { now: () => 0 })
  const asked: { name: string; question: unknown; done: Done }[] = []
  const thread: Elsewhere = { workOut: (name, question, done) => void asked.push({ name, question, done }) }
  const name = (id: string, to: string) => {
    must(changeRecord(m, 'kit', 'cars', id, { name: to }))
    graph.refresh()
  }
  for (const id of ['a', 'b', 'c']) name(id, id)
  /** What somebody who watches is told, each time. */
  const watch = () => {
    const told: string[] = []
    const cell = graph.cell(text)
    cell.subscribe(() => told.push(cell.read()))
    return told
  }
  return { ...b, graph, text, thread, asked, made, name, watch, says: () => graph.ask(text) }
}

test('a plain board, and one that is looked at once, work everything out', () => {
  const t = setUp()
  expect(t.text({ ...t.view(), now: () => 0 } as unknown as Board)).toBe('a+b+c')
  expect(t.text(frozenBoard(t.view(), 0))).toBe('a+b+c')
})

test('without a thread a long fact is worked out here and now, once per question', () => {
  const t = setUp()
  expect([t.says(), t.says()]).toEqual(['a+b+c', 'a+b+c'])
  t.name('b', 'd')
  expect([t.says(), t.says()]).toEqual(['a+d+c', 'a+d+c'])
  expect(t.made).toEqual(['a+b+c', 'a+d+c'])
})

test('with one the first answer is still made here; the next stands in for the thread’s until that arrives, which whoever watches is told', () => {
  const t = setUp()
  t.graph.lend(t.thread)
  const upper = derived((board: Board) => t.text(board).toUpperCase())
  const cell = t.graph.cell(upper)
  const told: string[] = []
  cell.subscribe(() => told.push(cell.read()))
  expect(cell.read()).toBe('A+B+C')
  expect(t.asked).toEqual([])
  t.name('b', 'd')
  expect(cell.read()).toBe('A+B+C, NOT YET A+D+C')
  expect(t.asked.map((x) => [x.name, x.question])).toEqual([['text', ['a', 'd', 'c']]])
  t.asked[0]!.done({ answer: 'from the thread' })
  expect(told).toEqual(['A+B+C, NOT YET A+D+C', 'FROM THE THREAD'])
  expect(cell.read()).toBe('FROM THE THREAD')
  expect(t.made).toEqual(['a+b+c'])
  expect(t.asked).toHaveLength(1)
})

test('a short one is worked out here, and so is one about which the last answer says nothing', () => {
  const short = setUp({ isLong: false })
  short.graph.lend(short.thread)
  short.says()
  short.name('b', 'd')
  expect(short.says()).toBe('a+d+c')
  const other = setUp()
  other.graph.lend(other.thread)
  other.says()
  other.name('d', 'd')
  expect(other.says()).toBe('a+b+c+d')
  expect([short.asked, other.asked]).toEqual([[], []])
})

test('the latest question counts: what arrives for an earlier one is dropped', () => {
  const t = setUp()
  t.graph.lend(t.thread)
  t.says()
  t.name('b', 'd')
  t.says()
  t.name('b', 'e')
  t.says()
  expect(t.asked.map((x) => x.question)).toEqual([
    ['a', 'd', 'c'],
    ['a', 'e', 'c'],
  ])
  t.asked[0]!.done({ answer: 'late' })
  expect(t.says()).toBe('a+b+c, not yet a+e+c')
  t.asked[1]!.done({ answer: 'right' })
  expect(t.says()).toBe('right')
})

test('a question that says what an answered one said is asked like any other, and only its own answer counts', () => {
  const t = setUp()
  t.graph.lend(t.thread)
  t.says()
  const watched = t.graph.cell(t.text)
  watched.subscribe(() => undefined)
  t.name('b', 'd')
  expect(watched.read()).toBe('a+b+c, not yet a+d+c')
  t.name('b', 'b')
  t.asked.at(-1)!.done({ answer: 'a+b+c' })
  t.asked[0]!.done({ answer: 'late' })
  expect(watched.read()).toBe('a+b+c')
})

test('what was pending is asked of the thread that takes the place of another, whether somebody watches or not', () => {
  for (const takesBack of [true, false]) {
    const t = setUp()
    const takeBack = t.graph.lend(t.thread)
    t.says()
    t.name('b', 'd')
    t.says()
    if (takesBack) takeBack()
    const other: unknown[] = []
    t.graph.lend({ workOut: (_, question, done) => void other.push(question, done) })
    expect(t.says()).toBe('a+b+c, not yet a+d+c')
    expect(other[0]).toEqual(['a', 'd', 'c'])
    t.asked[0]!.done({ answer: 'late' })
    t.asked[0]!.done(null)
    expect(t.says()).toBe('a+b+c, not yet a+d+c')
    ;(other[1] as Done)({ answer: 'right' })
    expect(t.says()).toBe('right')
  }
})

test('a thread that says nothing for ten seconds is given up; one that has answered is not', () => {
  vi.useFakeTimers()
  try {
    const t = setUp()
    t.graph.lend(t.thread)
    const told = t.watch()
    t.name('b', 'd')
    vi.advanceTimersByTime(9_000)
    t.asked[0]!.done({ answer: 'in time' })
    t.name('b', 'e')
    vi.advanceTimersByTime(9_000)
    // A later question has a time of its own.
    t.name('b', 'f')
    vi.advanceTimersByTime(9_000)
    expect(told.at(-1)).toBe('in time, not yet a+f+c')
    vi.advanceTimersByTime(1_001)
    expect(told.at(-1)).toBe('a+f+c')
    expect(vi.getTimerCount()).toBe(0)
    t.asked.at(-1)!.done({ answer: 'late' })
    t.name('b', 'g')
    expect(told.at(-1)).toBe('a+g+c')
  } finally {
    vi.useRealTimers()
  }
})

test('a thread that fails is given up: what it owed, and all later ones, are worked out here, and whoever watches is told', () => {
  const t = setUp()
  t.graph.lend(t.thread)
  const told = t.watch()
  t.name('b', 'd')
  t.asked[0]!.done(null)
  expect(told.at(-1)).toBe('a+d+c')
  t.name('b', 'e')
  expect(told.at(-1)).toBe('a+e+c')
  expect(t.asked).toHaveLength(1)
})

test('one that is taken back owes nothing, whatever it still says; another takes its place', () => {
  const t = setUp()
  const takeBack = t.graph.lend(t.thread)
  t.says()
  t.name('b', 'd')
  t.says()
  takeBack()
  expect(t.says()).toBe('a+d+c')
  t.asked[0]!.done({ answer: 'late' })
  t.asked[0]!.done(null)
  expect(t.says()).toBe('a+d+c')
  const other: unknown[] = []
  t.graph.lend({ workOut: (_, question) => void other.push(question) })
  // Taken back once more it takes nothing from the other.
  takeBack()
  t.name('b', 'e')
  expect(t.says()).toBe('a+d+c, not yet a+e+c')
  expect(other).toEqual([['a', 'e', 'c']])
})
