import * as Y from 'yjs'
import { expect, test } from 'vitest'
import type { OverviewNews } from '@/app/card/overview-messages'
import { OverviewWork } from '@/app/card/overview-work'
import { addRecord, assignValue } from '@/lib/board'
import { quickProjections, type CardProjections, type ProjectionBasis } from '@/lib/card'
import { must } from '../../support/must'
import { projectionBoard } from '../../support/projection-board'

/** A board with two cars of one setup, and the overview's worker on it, turned by hand on a clock of its own; each question takes `costMs`. */
function setUp(costMs = 10) {
  const b = projectionBoard()
  const wren = must(addRecord(b.m, 'kit', 'cars', { name: 'Wren', drive: '4wd' }))
  for (const [parameterId, value] of [
    ['pinion', 30],
    ['spur', 72],
  ] as const)
    must(assignValue(b.m, b.view(), { carId: wren, parameterId, value }))
  const news: OverviewNews[] = []
  const asked: ProjectionBasis[] = []
  let [turns, now] = [0, 0]
  const trouble = { of: '' }
  const work = new OverviewWork({
    project: (basis, withSpread): CardProjections => {
      now += costMs
      asked.push(basis)
      if (basis.carId === trouble.of)
        return { figures: [], problem: { field: 'x', value: '', reason: '', remedy: '' } }
      const airC = basis.inputs.find((i) => i.id === 'airC')?.value ?? NaN
      const figure = { id: 'can', value: airC, text: `${airC + 20}`, unit: '°C' }
      return {
        problem: null,
        figures: [
          { ...figure, plusMinusText: withSpread ? `${airC / 10}` : '' },
          { ...figure, id: 'lap' },
        ] as CardProjections['figures'],
      }
    },
    tell: (n) => void news.push(n),
    soon: () => void turns++,
    now: () => now,
  })
  for (const doc of ['kit', 'meeting'] as const) {
    const own = b.docs[doc]
    if (!own) throw new Error('no document')
    work.take({ kind: 'board', doc, update: Y.encodeStateAsUpdate(own) })
    own.on('update', (update: Uint8Array) => work.take({ kind: 'board', doc, update }))
  }
  const cars = [
    { carId: b.carId, runId: b.runId },
    { carId: wren, runId: null },
  ]
  work.take({ kind: 'cars', cars })
  const turn = (): boolean => {
    if (turns === 0) return false
    turns--
    work.step()
    return true
  }
  const air = (airC: number) =>
    must(addRecord(b.m, 'meeting', 'conditions', { airC: { v: airC, by: 'manager', at: b.clock.now() } }))
  /** What the last news said of a car, the lap's figure alone. */
  const said = (carId = b.carId, at = -1) => {
    const ticket = news.at(at)?.tickets.find((t) => t.carId === carId)
    const can = ticket?.figures.find((f) => f.id === 'can')
    return ticket && `${can?.text ?? '–'} ±${can?.plusMinusText ?? ''} ${ticket.state}`
  }
  const done = () => {
    while (turn());
  }
  return { ...b, wren, news, asked, trouble, work, turn, done, air, said }
}

test('the worker’s own board gives the ground that the screen’s board gives', () => {
  const t = setUp()
  t.done()
  const own = t.asked.find((basis) => basis.carId === t.carId)
  expect(own).toEqual(t.basis())
  const rollout = quickProjections(t.basis()).figures.find((f) => f.id === 'rollout')
  expect(t.news.at(-1)?.tickets[0]?.figures[0]).toEqual({
    id: 'rollout',
    text: rollout?.text,
    unit: 'mm/turn',
    plusMinusText: rollout?.plusMinusText,
  })
  expect(t.news.at(-1)?.tickets[0]?.figures.map((f) => f.id)).toEqual(['rollout', 'can'])
})

test('whoever opens the page gets every estimate at once, then every ± at once', () => {
  const t = setUp()
  t.done()
  expect(t.news.map((n) => [n.tickets.length, n.left])).toEqual([
    [2, { figures: 0, spreads: 2 }],
    [2, { figures: 0, spreads: 0 }],
  ])
  expect(t.said(t.carId, 0)).toBe('42 ± rough')
  expect(t.said()).toBe('42 ±2.2 now')
})

test('an edit that is worked out quickly is told once; only what changed is told', () => {
  const t = setUp()
  t.done()
  const told = t.news.length
  t.air(30)
  t.done()
  expect(t.news.length).toBe(told + 1)
  expect([t.said(), t.said(t.wren)]).toEqual(['50 ±3 now', '50 ±3 now'])
  must(assignValue(t.m, t.view(), { carId: t.wren, parameterId: 'pinion', value: 28 }))
  t.done()
  expect(t.news.at(-1)?.tickets.map((x) => x.carId)).toEqual([t.wren])
})

test('where it takes longer, the estimates come first, with the ± of before marked as such', () => {
  const t = setUp(210)
  t.done()
  const told = t.news.length
  t.air(30)
  t.turn()
  t.turn()
  expect(t.said()).toBe('50 ±2.2 rough')
  expect(t.news.at(-1)?.left).toEqual({ figures: 0, spreads: 2 })
  t.done()
  expect(t.said()).toBe('50 ±3 now')
  expect(t.news.length).toBe(told + 2)
})

test('and where even the estimates do, what is of before is marked', () => {
  const t = setUp(500)
  t.done()
  t.air(30)
  t.turn()
  expect([t.said(), t.said(t.wren)]).toEqual(['50 ±2.2 rough', '42 ±2.2 stale'])
  expect(t.news.at(-1)?.left).toEqual({ figures: 1, spreads: 1 })
})

test('a newer edit takes the place of an earlier one between two questions; what is taken back stands at once', () => {
  const t = setUp()
  t.done()
  t.air(30)
  t.turn()
  t.air(32)
  t.done()
  const asked = t.asked.length
  expect(t.asked.filter((b) => b.inputs.some((i) => i.id === 'airC' && i.value === 30))).toHaveLength(1)
  expect(t.said()).toBe('52 ±3.2 now')
  must(assignValue(t.m, t.view(), { carId: t.carId, parameterId: 'pinion', value: 28 }))
  must(assignValue(t.m, t.view(), { carId: t.carId, parameterId: 'pinion', value: 31 }))
  t.done()
  expect(t.asked.length).toBe(asked)
})

test('a card that can’t be projected keeps its last good figures, marked, and is not waited for', () => {
  const t = setUp()
  t.done()
  must(assignValue(t.m, t.view(), { carId: t.carId, parameterId: 'motorTiming', value: 12 }))
  t.trouble.of = t.carId
  t.done()
  expect(t.said()).toBe('42 ±2.2 refused')
  expect(t.news.at(-1)?.left).toEqual({ figures: 0, spreads: 0 })
})

test('a car that leaves the list is not worked out any more', () => {
  const t = setUp()
  t.done()
  t.work.take({ kind: 'cars', cars: [{ carId: t.carId, runId: t.runId }] })
  t.air(30)
  const asked = t.asked.length
  t.done()
  expect(t.asked.slice(asked).every((b) => b.carId === t.carId)).toBe(true)
  expect(t.said()).toBe('50 ±3 now')
})
