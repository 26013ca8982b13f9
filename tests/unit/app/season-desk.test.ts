import { expect, test, vi } from 'vitest'
import { SeasonDesk } from '@/app/season/season-desk'
import {
  packNews,
  type SeasonAnswer,
  type SeasonNews,
  type SeasonOrder,
  type SeasonQuestion,
} from '@/app/season/season-messages'
import type { Thread } from '@/app/threads/kept-thread'

const question = { search: 'rook' } as SeasonQuestion
const LOOK = JSON.stringify({ kind: 'track' })

/** A desk with workers worked by hand. */
function setUp() {
  const threads: (Thread<SeasonOrder, string> & { orders: SeasonOrder[]; ended: number })[] = []
  const desk = new SeasonDesk(() => {
    const thread = {
      orders: [] as SeasonOrder[],
      ended: 0,
      onmessage: null,
      onerror: null,
      postMessage: (o: SeasonOrder) => void thread.orders.push(o),
      terminate: () => void thread.ended++,
    }
    threads.push(thread)
    return thread
  })
  const say = (news: SeasonNews, thread = threads.at(-1)!) =>
    thread.onmessage?.({ data: packNews(news) } as MessageEvent<string>)
  const kinds = () => threads.map((t) => t.orders.map((o) => o.kind))
  return { desk, threads, say, kinds }
}

test('the latest question wins: an answer to the one before is dropped', () => {
  const t = setUp()
  t.desk.ask(question)
  t.desk.ask({ ...question, search: 'wren' })
  t.say({ kind: 'answer', n: 1, answer: { found: 1 } as SeasonAnswer })
  expect(t.desk.state()).toMatchObject({ answer: null })
  t.say({ kind: 'answer', n: 2, answer: { found: 2 } as SeasonAnswer })
  expect(t.desk.state()).toMatchObject({ answer: { found: 2 } })
})

test('a worker that is gone is said once, is asked nothing more, and trying again asks all that stands', () => {
  const t = setUp()
  t.desk.setOnline(true)
  t.desk.ask(question)
  const stop = t.desk.look(LOOK)
  t.threads[0]!.onerror?.({} as ErrorEvent)
  expect(t.desk.state()).toMatchObject({ isDown: true })
  expect(t.desk.state().trouble).toMatch(/^The calculation did not start\. Try again/)
  t.desk.ask({ ...question, search: 'wren' })
  t.desk.setOnline(true)
  expect(t.threads).toHaveLength(1)
  t.desk.retry()
  expect(t.kinds()).toEqual([
    ['line', 'ask', 'look'],
    ['line', 'ask', 'look'],
  ])
  expect(t.threads[1]!.orders[1]).toMatchObject({ question: { search: 'wren' } })
  expect(t.desk.state()).toMatchObject({ isDown: false, trouble: null })
  stop()
  expect(t.threads[1]!.orders.at(-1)).toEqual({ kind: 'look', key: LOOK, look: null })
})

test('[S23] after a restore another worker begins anew; closing ends it and forgets', () => {
  const t = setUp()
  t.desk.setGeneration('one')
  t.desk.ask(question)
  t.say({ kind: 'meetings', meetings: [], isRead: true, tookMs: 1 })
  t.desk.setGeneration('one')
  expect(t.threads).toHaveLength(1)
  t.desk.setGeneration('two')
  expect(t.threads.map((x) => x.ended)).toEqual([1, 0])
  expect(t.desk.state().meetings).toBeNull()
  t.say({ kind: 'meetings', meetings: [], isRead: true, tookMs: 1 }, t.threads[0])
  expect(t.desk.state().meetings).toBeNull()
  t.desk.close()
  t.say({ kind: 'meetings', meetings: [], isRead: true, tookMs: 1 })
  expect([t.threads[1]!.ended, t.desk.state().meetings]).toEqual([1, null])
})

test('a choice is shown together with its answer, alone once it has waited, and no more once the address says otherwise', () => {
  vi.useFakeTimers()
  try {
    const t = setUp()
    const chosen = { question, over: '' }
    t.desk.choose(chosen)
    expect(t.desk.chosen).toBe(chosen)
    expect(t.desk.state().chosen).toBeNull()
    t.say({ kind: 'answer', n: 1, answer: { found: 1 } as SeasonAnswer })
    expect(t.desk.state()).toMatchObject({ answer: { found: 1 }, chosen })
    const next = { question: { ...question, search: 'wren' }, over: '' }
    t.desk.choose(next)
    expect(t.desk.state().chosen).toBe(chosen)
    vi.advanceTimersByTime(200)
    expect(t.desk.state()).toMatchObject({ answer: { found: 1 }, chosen: next })
    t.desk.unchoose()
    expect([t.desk.chosen, t.desk.state().chosen]).toEqual([null, null])
    t.desk.choose(next)
    t.desk.unchoose()
    vi.advanceTimersByTime(1000)
    expect(t.desk.state().chosen).toBeNull()
  } finally {
    vi.useRealTimers()
  }
})
