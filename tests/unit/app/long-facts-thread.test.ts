import { expect, test } from 'vitest'
import { LongFactsThread } from '@/app/meeting/long-facts-thread'
import type { LongFacts } from '@/app/meeting/long-facts'
import type { DeskThread } from '@/app/threads/desk'
import type { DeskOrder, DeskReply } from '@/app/threads/desk-messages'

type Reply = DeskReply<LongFacts>

/** Threads worked by hand. */
function setUp() {
  const threads: (DeskThread<LongFacts> & { orders: DeskOrder<LongFacts>[]; isOver: boolean })[] = []
  const facts = new LongFactsThread(() => {
    const thread = {
      orders: [] as DeskOrder<LongFacts>[],
      isOver: false,
      onmessage: null,
      onerror: null,
      postMessage: (o: DeskOrder<LongFacts>) => void thread.orders.push(o),
      terminate: () => void (thread.isOver = true),
    }
    threads.push(thread)
    return thread
  })
  const told: [string, unknown][] = []
  const ask = (what: string) => {
    const question = { what }
    facts.workOut('draws', question, (worked) => told.push([what, worked]))
    return question
  }
  const say = (reply: object) => threads.at(-1)!.onmessage?.({ data: reply } as MessageEvent<Reply>)
  return { facts, threads, told, ask, say }
}

test('no thread is opened before something is asked; its answer is told once', () => {
  const t = setUp()
  expect(t.threads).toHaveLength(0)
  const question = t.ask('a')
  expect(t.threads[0]?.orders).toEqual([{ place: 'draws', n: 1, question }])
  expect(t.told).toEqual([])
  t.say({ n: 1, answer: 'drawn', isLast: true })
  expect(t.told).toEqual([['a', { answer: 'drawn' }]])
  t.ask('b')
  t.say({ n: 2, answer: 'again', isLast: true })
  expect(t.told.slice(1)).toEqual([['b', { answer: 'again' }]])
})

test('an overtaken question is not answered', () => {
  const t = setUp()
  t.ask('a')
  t.ask('b')
  t.say({ n: 1, answer: 'late', isLast: true })
  expect(t.told).toEqual([])
  t.say({ n: 2, answer: 'right', isLast: true })
  expect(t.told).toEqual([['b', { answer: 'right' }]])
})

test('null where it can’t be worked out there: the question fails, or the thread does not start', () => {
  const t = setUp()
  t.ask('a')
  t.say({ n: 1, failed: 'broken' })
  t.ask('b')
  t.threads[0]!.onerror?.({ message: 'gone' } as ErrorEvent)
  expect(t.told).toEqual([
    ['a', null],
    ['b', null],
  ])
})

test('closed, the thread is over and nothing is told', () => {
  const t = setUp()
  t.ask('a')
  t.facts.close()
  expect(t.threads[0]?.isOver).toBe(true)
  t.say({ n: 1, answer: 'late', isLast: true })
  expect(t.told).toEqual([])
})
