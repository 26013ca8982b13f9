import { expect, test } from 'vitest'
import { lookAt, ProjectionDesk, type ProjectionThread } from '@/app/card/projection-desk'
import { packAnswer, type ProjectionQuestions } from '@/app/card/projection-messages'
import type { CardProjections } from '@/lib/card'

const projections = (text: string): CardProjections => ({
  problem: null,
  figures: [{ id: 'topSpeed', text } as CardProjections['figures'][number]],
})

/** A thread worked by hand. */
function setUp() {
  const asked: ProjectionQuestions[] = []
  let ended = 0
  const thread: ProjectionThread = {
    onmessage: null,
    onerror: null,
    postMessage: (q) => void asked.push(q),
    terminate: () => void ended++,
  }
  const desk = new ProjectionDesk(() => thread)
  /** Lists go over at the end of the turn. */
  const turn = () => Promise.resolve()
  const answer = (...made: [ground: string, withSpread: boolean, CardProjections][]) => {
    const all = asked.flat()
    thread.onmessage?.({
      data: made.map(([ground, withSpread, p]) => {
        const q = all.findLast((x) => x.ground === ground)
        if (!q) throw new Error(`${ground} was never asked`)
        return packAnswer({ id: q.id, withSpread }, p)
      }),
    } as unknown as MessageEvent)
  }
  const list = () => asked.at(-1)?.map((q) => (q.withSpread ? `${q.ground}±` : q.ground))
  const look = (slot: string, key: string, problem: string | null = null) =>
    lookAt(desk.state(slot), key, problem)
  const shown = (slot: string) => desk.state(slot).good?.figures[0]?.text ?? null
  return { desk, asked, thread, turn, answer, list, look, shown, ended: () => ended }
}

test('the best estimate comes first, then the ±, and neither is asked for twice', async () => {
  const t = setUp()
  t.desk.ask('rook', 'a')
  await t.turn()
  expect(t.list()).toEqual(['a', 'a±'])
  t.answer(['a', false, projections('rough')])
  expect(t.look('rook', 'a')).toMatchObject({ stale: false, roughly: true })
  t.answer(['a', true, projections('full')])
  expect(t.look('rook', 'a')).toMatchObject({ stale: false, roughly: false, problem: null })
  expect(t.shown('rook')).toBe('full')
  t.desk.ask('rook', 'b')
  t.desk.ask('rook', 'a')
  await t.turn()
  expect(t.shown('rook')).toBe('full')
  expect(t.asked.flat().filter((q) => q.ground === 'a')).toHaveLength(2)
})

test('while a later state is computed the earlier figures stand, marked stale; what was overtaken is not asked for', async () => {
  const t = setUp()
  t.desk.ask('rook', 'a')
  await t.turn()
  t.answer(['a', true, projections('a±')])
  t.desk.ask('rook', 'b')
  await t.turn()
  expect(t.look('rook', 'b')).toMatchObject({ stale: true })
  expect(t.shown('rook')).toBe('a±')
  t.desk.ask('rook', 'c')
  t.desk.ask('rook', 'd')
  await t.turn()
  expect(t.list()).toEqual(['d', 'd±'])
  t.answer(['b', false, projections('b')])
  expect(t.shown('rook')).toBe('a±')
  expect(t.asked.flat().some((q) => q.ground === 'c')).toBe(false)
})

test('all that one turn asks for goes over in one list, best estimates before any ±', async () => {
  const t = setUp()
  t.desk.ask('rook', 'r')
  t.desk.ask('wren', 'w')
  await t.turn()
  expect(t.asked).toHaveLength(1)
  expect(t.list()).toEqual(['r', 'w', 'r±', 'w±'])
  // A third card joins: what is known already is not asked for again.
  t.answer(['r', false, projections('r')])
  t.desk.ask('heron', 'h')
  await t.turn()
  expect(t.list()).toEqual(['w', 'h', 'r±', 'w±', 'h±'])
})

test('asking changes nothing that a screen has in hand until an answer comes', async () => {
  const t = setUp()
  t.desk.ask('rook', 'a')
  await t.turn()
  t.answer(['a', true, projections('a')])
  const before = t.desk.state('rook')
  let told = 0
  t.desk.subscribe('rook', () => told++)
  t.desk.ask('rook', 'b')
  await t.turn()
  expect(t.desk.state('rook')).toBe(before)
  expect(told).toBe(0)
  t.answer(['b', false, projections('b')])
  expect(told).toBe(1)
})

test('nonsense leaves the last good projection, marked as stale, with the reason', async () => {
  const t = setUp()
  t.desk.ask('rook', 'a')
  await t.turn()
  t.answer(['a', true, projections('a±')])
  t.desk.leave('rook')
  expect(t.look('rook', 'a', 'Pinion “0”: is out of range')).toMatchObject({
    stale: true,
    problem: 'Pinion “0”: is out of range',
  })
  expect(t.shown('rook')).toBe('a±')
  t.desk.ask('rook', 'bad')
  await t.turn()
  t.answer([
    'bad',
    false,
    {
      figures: [],
      problem: { field: 'Pinion', value: '0', reason: 'is not possible', remedy: 'Must be 1 to 1000.' },
    },
  ])
  expect(t.look('rook', 'bad')).toMatchObject({
    stale: true,
    problem: 'Pinion “0” is not possible. Must be 1 to 1000.',
  })
  expect(t.shown('rook')).toBe('a±')
  t.desk.ask('rook', 'a')
  expect(t.look('rook', 'a')).toMatchObject({ stale: false, problem: null })
})

test('two slots about one ground share its answer, and one may leave', async () => {
  const t = setUp()
  t.desk.ask('card', 'a')
  t.desk.ask('trial', 'a')
  t.desk.ask('trial', 'b')
  await t.turn()
  t.answer(['a', false, projections('a')])
  expect(t.shown('card')).toBe('a')
  expect(t.shown('trial')).toBeNull()
})

test('a simulator that fails says so on the card that asked, and the figures before stay', async () => {
  const t = setUp()
  t.desk.ask('rook', 'a')
  await t.turn()
  t.answer(['a', true, projections('a')])
  t.desk.ask('rook', 'b')
  await t.turn()
  const id = t.asked.at(-1)![0]!.id
  t.thread.onmessage?.({
    data: [{ id, withSpread: false, kind: 'failed', message: 'no' }],
  } as unknown as MessageEvent)
  expect(t.look('rook', 'b')).toMatchObject({ stale: true, problem: 'The projection failed: no' })
  expect(t.shown('rook')).toBe('a')
})

test('a thread that does not start says so, and closing ends it', async () => {
  const t = setUp()
  let told = 0
  t.desk.subscribe('rook', () => told++)
  t.desk.ask('rook', 'a')
  await t.turn()
  t.thread.onerror?.({} as ErrorEvent)
  expect(t.look('rook', 'a').problem).toContain('did not start')
  expect(told).toBeGreaterThan(0)
  expect(t.ended()).toBe(1)
})

test('a thread that is gone is said in words; trying again asks for what every card stands on now', async () => {
  const t = setUp()
  t.desk.ask('rook', 'a')
  t.desk.ask('wren', 'b')
  t.desk.leave('wren')
  await t.turn()
  t.answer(['a', true, projections('a±')])
  t.desk.ask('rook', 'c')
  await t.turn()
  t.thread.onerror?.({ message: 'Uncaught Error: broke' } as ErrorEvent)
  const { problem, stale, retry } = t.look('rook', 'c')
  expect([problem, stale]).toEqual([expect.stringMatching(/^The simulator stopped \(Error: broke\)\./), true])
  expect(t.look('wren', '').problem).toBe(null)
  retry?.()
  await t.turn()
  expect(t.look('rook', 'c')).toMatchObject({ problem: null, stale: true })
  expect(t.list()).toEqual(['c', 'c±'])
  t.answer(['c', true, projections('c±')])
  expect(t.look('rook', 'c')).toEqual({
    projections: expect.anything(),
    stale: false,
    roughly: false,
    problem: null,
  })
})
