import { expect, test } from 'vitest'
import { OverviewDesk, type OverviewThread } from '@/app/card/overview-desk'
import { packNews, type OverviewOrder, type TicketFigures } from '@/app/card/overview-messages'

/** A desk with a thread and seconds worked by hand. */
function setUp() {
  const threads: (OverviewThread & { orders: OverviewOrder[]; ended: boolean })[] = []
  const waiting = new Set<() => void>()
  const desk = new OverviewDesk(
    () => {
      const thread = {
        orders: [] as OverviewOrder[],
        ended: false,
        onmessage: null,
        onerror: null,
        postMessage: (o: OverviewOrder) => void thread.orders.push(o),
        terminate: () => void (thread.ended = true),
      }
      threads.push(thread)
      return thread
    },
    (draw) => {
      waiting.add(draw)
      return () => waiting.delete(draw)
    },
  )
  let followers = 0
  const board = {
    follow: (tell: (u: { doc: 'kit'; update: Uint8Array }) => void) => {
      followers++
      tell({ doc: 'kit', update: new Uint8Array([1]) })
      return () => void followers--
    },
  }
  const ticket = (carId: string, text: string, state: TicketFigures['state'] = 'now'): TicketFigures => ({
    carId,
    figures: [{ id: 'can', text, unit: '°C', plusMinusText: '1' }],
    state,
  })
  const tell = (...tickets: TicketFigures[]) =>
    threads.at(-1)!.onmessage?.({
      data: packNews({
        tickets,
        left: { figures: 0, spreads: tickets.filter((t) => t.state === 'rough').length },
      }),
    } as MessageEvent<string>)
  const second = () => [...waiting].forEach((draw) => draw())
  const drawn = new Map<string, string[]>()
  const watch = (carId: string) => {
    drawn.set(carId, [])
    return desk.watch(carId, (t) => drawn.get(carId)!.push(`${t.figures[0]!.text} ${t.state}`))
  }
  return { desk, threads, board, ticket, tell, second, watch, drawn, followers: () => followers, waiting }
}

test('the first figures are drawn at once, later ones with the next second', () => {
  const t = setUp()
  t.desk.start(t.board)
  t.watch('rook').setInSight(true)
  t.tell(t.ticket('rook', '40', 'rough'))
  expect(t.drawn.get('rook')).toEqual(['40 rough'])
  t.tell(t.ticket('rook', '42', 'rough'))
  t.tell(t.ticket('rook', '42'))
  expect(t.drawn.get('rook')).toHaveLength(1)
  t.second()
  expect(t.drawn.get('rook')).toEqual(['40 rough', '42 now'])
  expect(t.waiting.size).toBe(0)
})

test('out of sight only what lasts is drawn, and what is missing when it comes into sight or is printed', () => {
  const t = setUp()
  t.desk.start(t.board)
  const rook = t.watch('rook')
  t.watch('wren')
  t.tell(t.ticket('rook', '40'), t.ticket('wren', '40'))
  t.tell(t.ticket('rook', '42', 'rough'), t.ticket('wren', '42', 'rough'))
  t.second()
  expect(t.drawn.get('rook')).toEqual(['40 now'])
  rook.setInSight(true)
  expect(t.drawn.get('rook')).toEqual(['40 now', '42 rough'])
  t.desk.drawAll()
  expect(t.drawn.get('wren')).toEqual(['40 now', '42 rough'])
  t.tell(t.ticket('wren', '43'))
  t.second()
  expect(t.drawn.get('wren')).toEqual(['40 now', '42 rough', '43 now'])
})

test('the thread is given the board and the cars, and what changes of them', () => {
  const t = setUp()
  t.desk.setCars([{ carId: 'rook', runId: null }])
  const stop = t.desk.start(t.board)
  expect(t.threads[0]!.orders).toEqual([
    { kind: 'board', doc: 'kit', update: new Uint8Array([1]) },
    { kind: 'cars', cars: [{ carId: 'rook', runId: null }] },
  ])
  t.tell(t.ticket('rook', '40'))
  t.tell(t.ticket('rook', '41'))
  stop()
  expect([t.threads[0]!.ended, t.followers(), t.waiting.size]).toEqual([true, 0, 0])
})

test('after a pause what was known stands, marked, until the thread has caught up', () => {
  const t = setUp()
  t.desk.start(t.board)()
  t.desk.start(t.board)
  const rook = t.watch('rook')
  rook.setInSight(true)
  t.tell(t.ticket('rook', '40'))
  rook.stop()
  t.desk.start(t.board)
  const again = t.watch('rook')
  again.setInSight(true)
  expect(t.drawn.get('rook')).toEqual(['40 stale'])
  t.tell(t.ticket('rook', '44'))
  t.second()
  expect(t.drawn.get('rook')).toEqual(['40 stale', '44 now'])
})

test('a thread that does not start leaves what is known marked, and nothing is said to be on its way', () => {
  const t = setUp()
  t.desk.start(t.board)
  t.watch('rook').setInSight(true)
  t.tell(t.ticket('rook', '40'))
  t.threads[0]!.onerror?.({} as ErrorEvent)
  expect(t.drawn.get('rook')).toEqual(['40 now', '40 refused'])
})

test('what is left is said with the figures that it is about', () => {
  const t = setUp()
  const said: number[] = []
  t.desk.start(t.board)
  t.desk.watchLeft((left) => said.push(left.spreads))
  t.tell(t.ticket('rook', '40', 'rough'))
  t.tell(t.ticket('rook', '40'))
  expect(said).toEqual([0, 1])
  t.second()
  expect(said).toEqual([0, 1, 0])
})

test('a thread that does not start or stops is said in words, and trying again starts another on the same board', () => {
  const t = setUp()
  t.desk.setCars([{ carId: 'rook', runId: null }])
  let told = 0
  t.desk.subscribeTrouble(() => told++)
  t.desk.retry()
  expect(t.threads).toHaveLength(0)
  const stop = t.desk.start(t.board)
  t.threads[0]!.onerror?.({} as ErrorEvent)
  expect(t.desk.trouble()).toMatch(/^The simulator did not start\. Try again/)
  expect([t.threads[0]!.ended, t.followers()]).toEqual([true, 0])
  t.desk.retry()
  t.desk.retry()
  expect(t.desk.trouble()).toBe(null)
  expect(t.threads[1]!.orders.map((o) => o.kind)).toEqual(['board', 'cars'])
  expect([t.threads.length, t.followers()]).toEqual([2, 1])
  // An error that comes late, of a thread that is gone, is nobody's.
  t.threads[0]!.onerror?.({} as ErrorEvent)
  expect(t.desk.trouble()).toBe(null)
  t.threads[1]!.onerror?.({ message: 'Uncaught RangeError: too deep' } as ErrorEvent)
  expect(t.desk.trouble()).toMatch(/^The simulator stopped \(RangeError: too deep\)\. Try again/)
  stop()
  t.desk.retry()
  expect([t.threads.length, told]).toEqual([2, 4])
})
