import { expect, test } from 'vitest'
import { ProjectionDesk, type ProjectionThread } from '@/app/card/projection-desk'
import type { ProjectionQuestion } from '@/app/card/projection-messages'
import type { CardProjections, ProjectionBasis } from '@/lib/card'

const basis = (carId: string) => ({ carId }) as ProjectionBasis
const projections = (text: string): CardProjections => ({
  problem: null,
  figures: [{ text } as CardProjections['figures'][number]],
})

/** A thread worked by hand. */
function setUp() {
  const asked: ProjectionQuestion[] = []
  let ended = 0
  const thread: ProjectionThread = {
    onmessage: null,
    onerror: null,
    postMessage: (q) => void asked.push(q),
    terminate: () => void ended++,
  }
  const desk = new ProjectionDesk(() => thread)
  const answer = (made: CardProjections) => {
    const q = asked.at(-1)
    if (!q) throw new Error('nothing was asked')
    thread.onmessage?.({
      data: { key: q.key, withSpread: q.withSpread, kind: 'done', projections: made },
    } as MessageEvent)
  }
  const shown = (slot: string) => desk.state(slot).projections?.figures[0]?.text ?? null
  return { desk, asked, thread, answer, shown, ended: () => ended }
}

test('the best estimate comes first, then the ±, and neither is computed twice', () => {
  const t = setUp()
  t.desk.ask('rook', 'a', basis('rook'))
  expect(t.asked).toMatchObject([{ key: 'a', withSpread: false }])
  t.answer(projections('rough'))
  expect(t.desk.state('rook')).toMatchObject({ stale: false, roughly: true })
  expect(t.asked).toMatchObject([{}, { key: 'a', withSpread: true }])
  t.answer(projections('full'))
  expect(t.desk.state('rook')).toMatchObject({ stale: false, roughly: false, problem: null })
  expect(t.shown('rook')).toBe('full')
  t.desk.ask('rook', 'b', basis('rook'))
  t.desk.ask('rook', 'a', basis('rook'))
  expect(t.shown('rook')).toBe('full')
  expect(t.asked.filter((q) => q.key === 'a')).toHaveLength(2)
})

test('while a later state is computed the earlier figures stand, marked stale; what was overtaken is never computed', () => {
  const t = setUp()
  t.desk.ask('rook', 'a', basis('rook'))
  t.answer(projections('a'))
  t.answer(projections('a±'))
  t.desk.ask('rook', 'b', basis('rook'))
  expect(t.desk.state('rook')).toMatchObject({ stale: true })
  expect(t.shown('rook')).toBe('a±')
  t.desk.ask('rook', 'c', basis('rook'))
  t.desk.ask('rook', 'd', basis('rook'))
  t.answer(projections('b'))
  expect(t.shown('rook')).toBe('a±')
  expect(t.asked.map((q) => q.key)).toEqual(['a', 'a', 'b', 'd'])
})

test('all cards get their best estimate before any gets its ±', () => {
  const t = setUp()
  t.desk.ask('rook', 'r', basis('rook'))
  t.desk.ask('wren', 'w', basis('wren'))
  t.answer(projections('r'))
  t.answer(projections('w'))
  expect(t.asked.map((q) => [q.key, q.withSpread])).toEqual([
    ['r', false],
    ['w', false],
    ['r', true],
  ])
})

test('nonsense leaves the last good projection, marked as stale, with the reason', () => {
  const t = setUp()
  t.desk.ask('rook', 'a', basis('rook'))
  t.answer(projections('a'))
  t.answer(projections('a±'))
  t.desk.spoil('rook', 'Pinion “0”: is out of range')
  expect(t.desk.state('rook')).toMatchObject({ stale: true, problem: 'Pinion “0”: is out of range' })
  expect(t.shown('rook')).toBe('a±')
  t.desk.ask('rook', 'bad', basis('rook'))
  t.answer({
    figures: [],
    problem: { field: 'Pinion', value: '0', reason: 'can’t be', remedy: 'Allowed is 1 to 1000.' },
  })
  expect(t.desk.state('rook')).toMatchObject({
    stale: true,
    problem: 'Pinion “0” can’t be. Allowed is 1 to 1000.',
  })
  expect(t.shown('rook')).toBe('a±')
  expect(t.asked.map((q) => q.key)).toEqual(['a', 'a', 'bad'])
  t.desk.ask('rook', 'a', basis('rook'))
  expect(t.desk.state('rook')).toMatchObject({ stale: false, problem: null })
})

test('two slots about one ground share its answer, and one may leave', () => {
  const t = setUp()
  t.desk.ask('card', 'a', basis('rook'))
  t.desk.ask('trial', 'a', basis('rook'))
  t.desk.ask('trial', 'b', basis('rook'))
  t.answer(projections('a'))
  expect(t.shown('card')).toBe('a')
  expect(t.shown('trial')).toBeNull()
})

test('a thread that does not start says so, and closing ends it', () => {
  const t = setUp()
  let told = 0
  t.desk.subscribe('rook', () => told++)
  t.desk.ask('rook', 'a', basis('rook'))
  t.thread.onerror?.({} as ErrorEvent)
  expect(t.desk.state('rook').problem).toContain('did not start')
  expect(told).toBeGreaterThan(0)
  expect(t.ended()).toBe(1)
})
