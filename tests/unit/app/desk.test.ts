import { expect, test } from 'vitest'
import { Desk, type DeskThread } from '@/app/threads/desk'
import type { DeskOrder, DeskReply } from '@/app/threads/desk-messages'
import { threadTrouble } from '@/app/threads/thread-trouble'

interface Sums {
  lap: { question: string; answer: string }
  sweep: { question: readonly number[]; answer: string }
}

/** A desk with workers worked by hand. */
function setUp(options: { endsOvertaken?: boolean; remembers?: number } = {}) {
  const threads: (DeskThread<Sums> & { orders: DeskOrder<Sums>[]; ended: number })[] = []
  const desk = new Desk<Sums>(
    () => {
      const thread = {
        orders: [] as DeskOrder<Sums>[],
        ended: 0,
        onmessage: null,
        onerror: null,
        postMessage: (o: DeskOrder<Sums>) => void thread.orders.push(o),
        terminate: () => void thread.ended++,
      }
      threads.push(thread)
      return thread
    },
    { words: (gone) => threadTrouble('simulator', gone), ...options },
  )
  const numberOf = (question: unknown) => {
    const order = threads.flatMap((t) => t.orders).findLast((o) => 'question' in o && o.question === question)
    if (!order?.n) throw new Error(`${String(question)} was never asked`)
    return order.n
  }
  const say = (reply: DeskReply<Sums>, thread = threads.at(-1)!) =>
    thread.onmessage?.({ data: reply } as MessageEvent<DeskReply<Sums>>)
  const answer = (question: unknown, text: string, isLast = true, thread = threads.at(-1)!) =>
    say({ n: numberOf(question), answer: text, isLast }, thread)
  const fall = (message?: string, thread = threads.at(-1)!) =>
    thread.onerror?.({ ...(message && { message }) } as ErrorEvent)
  const asked = () =>
    threads.map((t) => t.orders.map((o) => ('question' in o ? o.question : `no ${o.place}`)))
  return { desk, threads, numberOf, say, answer, fall, asked, lap: () => desk.state('lap') }
}

test('no worker is opened before something is asked; its answer stands at its own place', () => {
  const t = setUp()
  expect(t.threads).toHaveLength(0)
  expect(t.lap()).toMatchObject({ answer: null, stale: false, isWorking: false, failed: null })
  t.desk.ask('lap', 'a')
  expect(t.lap()).toMatchObject({ answer: null, stale: false, isWorking: true })
  t.answer('a', 'of a')
  expect(t.lap()).toMatchObject({ asked: 'a', answer: 'of a', of: 'a', stale: false, isWorking: false })
  expect(t.desk.state('sweep').answer).toBeNull()
})

test('a question of a key that is asked already is not asked again', () => {
  const t = setUp()
  t.desk.ask('sweep', [1], '1')
  t.desk.ask('sweep', [1], '1')
  t.say({ n: 1, answer: 'one', isLast: true })
  t.desk.ask('sweep', [1], '1')
  expect(t.asked()).toEqual([[[1]]])
  expect(t.desk.state('sweep')).toMatchObject({ answer: 'one', stale: false, isWorking: false })
})

test('of each place the latest question wins: the answer before stands, marked, and one to an old question is dropped', () => {
  const t = setUp()
  t.desk.ask('lap', 'a')
  t.answer('a', 'of a')
  t.desk.ask('lap', 'b')
  expect(t.lap()).toMatchObject({ answer: 'of a', of: 'a', stale: true, isWorking: true })
  t.desk.ask('lap', 'c')
  t.desk.ask('sweep', [1])
  t.answer('b', 'of b')
  expect(t.lap()).toMatchObject({ answer: 'of a', stale: true, isWorking: true })
  t.answer('c', 'of c')
  expect(t.lap()).toMatchObject({ answer: 'of c', of: 'c', stale: false, isWorking: false })
  expect(t.desk.state('sweep').isWorking).toBe(true)
})

test('an answer may come in parts, each whole as far as it goes', () => {
  const t = setUp()
  t.desk.ask('lap', 'a')
  t.answer('a', 'about a', false)
  expect(t.lap()).toMatchObject({ answer: 'about a', stale: false, isWorking: true })
  t.answer('a', 'just a')
  expect(t.lap()).toMatchObject({ answer: 'just a', stale: false, isWorking: false })
})

test('a question that fails says why and keeps the last good answer, marked; another one is worked on as before', () => {
  const t = setUp()
  t.desk.ask('lap', 'a')
  t.answer('a', 'of a')
  t.desk.ask('lap', 'b')
  t.say({ n: t.numberOf('b'), failed: 'it broke' })
  expect(t.lap()).toMatchObject({ answer: 'of a', stale: true, isWorking: false, failed: 'it broke' })
  expect(t.lap().retry).toBeUndefined()
  t.desk.ask('lap', 'b')
  expect(t.asked()).toEqual([['a', 'b']])
  t.desk.ask('lap', 'c')
  expect(t.lap()).toMatchObject({ stale: true, isWorking: true, failed: null })
})

test.each([
  [undefined, /^The simulator did not start\. Try again/],
  ['Uncaught RangeError: too deep', /^The simulator stopped \(RangeError: too deep\)\. Try again/],
])(
  'a worker that is gone (%s) is said in words where an answer was awaited, and there alone',
  (message, words) => {
    const t = setUp()
    const numbers = [1]
    t.desk.ask('sweep', numbers)
    t.answer(numbers, 'one')
    t.desk.ask('lap', 'a')
    t.fall(message)
    expect(t.lap()).toMatchObject({ isWorking: false, failed: expect.stringMatching(words) as string })
    expect(t.desk.state('sweep')).toMatchObject({ answer: 'one', stale: false, failed: null })
    expect(t.threads[0]!.ended).toBe(1)
  },
)

test('trying again opens another worker and asks the same anew; what the first one still says or does is nobody’s', () => {
  const t = setUp()
  t.desk.ask('lap', 'a')
  t.answer('a', 'about a', false)
  t.fall()
  expect(t.lap()).toMatchObject({ answer: 'about a', stale: true })
  t.lap().retry?.()
  expect(t.asked()).toEqual([['a'], ['a']])
  expect(t.lap()).toMatchObject({ stale: false, isWorking: true, failed: null, retry: undefined })
  t.answer('a', 'too late', true, t.threads[0]!)
  t.fall('late', t.threads[0])
  expect(t.lap()).toMatchObject({ answer: 'about a', isWorking: true, failed: null })
  t.answer('a', 'of a')
  expect(t.lap()).toMatchObject({ answer: 'of a', stale: false, isWorking: false })
})

test('after a worker is gone a later question opens another by itself', () => {
  const t = setUp()
  t.desk.ask('lap', 'a')
  t.fall()
  t.desk.ask('lap', 'a')
  t.answer('a', 'of a')
  expect(t.lap()).toMatchObject({ answer: 'of a', failed: null, retry: undefined })
  expect(t.asked()).toEqual([['a'], ['a']])
})

test('closing ends the worker, nothing is answered after it, and a later question opens another', () => {
  const t = setUp()
  t.desk.ask('lap', 'a')
  t.desk.close()
  expect([t.threads[0]!.ended, t.lap().isWorking]).toEqual([1, false])
  let told = 0
  t.desk.subscribe(() => told++)
  t.answer('a', 'of a')
  t.fall('late')
  expect([told, t.lap().answer, t.lap().failed]).toEqual([0, null, null])
  t.desk.ask('lap', 'a')
  t.answer('a', 'of a')
  expect(t.lap().answer).toBe('of a')
  expect(t.threads).toHaveLength(2)
})

test('closing a desk that was never asked opens nothing', () => {
  const t = setUp()
  t.desk.close()
  t.desk.leave('lap')
  expect(t.threads).toHaveLength(0)
})

test('a place that is left tells the worker and keeps its last answer; one that is dropped has none', () => {
  const t = setUp()
  t.desk.ask('lap', 'a')
  t.answer('a', 'of a')
  t.desk.leave('lap')
  expect(t.asked()).toEqual([['a']])
  t.desk.ask('lap', 'b')
  t.desk.leave('lap')
  expect(t.asked()).toEqual([['a', 'b', 'no lap']])
  t.answer('b', 'of b')
  expect(t.lap()).toMatchObject({ answer: 'of a', isWorking: false })
  t.desk.ask('lap', 'b')
  expect(t.asked()).toEqual([['a', 'b', 'no lap', 'b']])
  t.answer('b', 'of b')
  t.desk.drop('lap')
  expect(t.lap()).toMatchObject({ answer: null, asked: undefined, stale: false, isWorking: false })
})

test('a worker that does not hear while it works is ended for a newer question; what others wait for goes to the next', () => {
  const t = setUp({ endsOvertaken: true })
  t.desk.ask('sweep', [1])
  t.desk.ask('lap', 'a')
  t.desk.ask('lap', 'b')
  expect(t.threads.map((x) => x.ended)).toEqual([1, 0])
  expect(t.asked()).toEqual([
    [[1], 'a'],
    [[1], 'b'],
  ])
  t.answer('b', 'of b')
  t.desk.ask('lap', 'c')
  expect(t.threads).toHaveLength(2)
  t.desk.drop('lap')
  expect(t.threads.map((x) => x.ended)).toEqual([1, 1, 0])
  expect(t.asked()[2]).toEqual([[1]])
})

test('what is taken back stands again at once, at any place, and only what was half answered is asked again', () => {
  const t = setUp({ remembers: 2 })
  t.desk.ask('lap', 'a')
  t.answer('a', 'of a')
  t.desk.ask('lap', 'b')
  t.answer('b', 'about b', false)
  t.desk.ask('lap', 'a')
  expect(t.lap()).toMatchObject({ answer: 'of a', stale: false, isWorking: false })
  t.desk.ask('lap', 'b')
  expect(t.lap()).toMatchObject({ answer: 'about b', stale: false, isWorking: true })
  t.answer('b', 'of b')
  expect(t.asked()).toEqual([['a', 'b', 'b']])
  t.desk.ask('sweep', [1], 'a')
  expect(t.desk.state('sweep').answer).toBe('of a')
  t.desk.ask('lap', 'c')
  t.answer('c', 'of c')
  t.desk.ask('lap', 'a')
  expect(t.lap()).toMatchObject({ answer: 'of c', stale: true, isWorking: true })
})

test('whoever listens is told of every change, until he stops', () => {
  const t = setUp()
  let told = 0
  const stop = t.desk.subscribe(() => told++)
  t.desk.ask('lap', 'a')
  t.answer('a', 'of a')
  expect(told).toBe(2)
  stop()
  t.desk.ask('lap', 'b')
  expect(told).toBe(2)
})
