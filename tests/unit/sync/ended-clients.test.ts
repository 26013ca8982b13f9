import * as Y from 'yjs'
import { expect, it } from 'vitest'
import { EndedClients } from '@/server/sync/ended-clients'
import { author, guardBench, newsOf } from './guard-bench'

const bea = author('mechanic', 'bea')
const KEY = 'n1:text'

/** A page that wrote on a line that hangs, and whose whole document was then refused on another one. */
function toldToStartAnew() {
  const bench = guardBench({ limits: { refusedBytesPerHour: 0 } })
  const page = bench.page(77)
  const slow = newsOf(page, (d) => d.getMap('notes').set(KEY, 'first'))
  page.getMap('notes').set(KEY, 'second')
  page.getMap('people').set('p1:text', 'not allowed')
  const { verdict } = bench.judge(Y.encodeStateAsUpdate(page), bea)
  expect(verdict.refused?.kind).toBe('anew')
  return { ...bench, slow }
}

it('[S24] what a slower line brings of a page that was told to start anew is not taken: its newer values stay', () => {
  const { judge, page, slow, shown } = toldToStartAnew()
  // The new page writes anew what was unsent.
  judge(
    newsOf(page(), (d) => d.getMap('notes').set(KEY, 'second')),
    bea,
  )
  const late = judge(slow, bea)
  expect(late.verdict).toMatchObject({
    refused: { kind: 'anew' },
    rejections: [],
    audit: [],
    claims: [],
  })
  expect(late.sent).toBeNull()
  expect(shown()).toEqual({ notes: { [KEY]: 'second' } })
})

it('[S24] nobody ends another person’s page by what is sent under its ID', () => {
  const { judge, page } = toldToStartAnew()
  const cys = page(77)
  const { verdict } = judge(
    newsOf(cys, (d) => d.getMap('notes').set(KEY, 'by cy')),
    author('mechanic', 'cy'),
  )
  expect(verdict.refused).toBeNull()
})

it('of the last thousand it is known', () => {
  const ended = new EndedClients()
  ended.add('bea', [1])
  ended.add(
    'bea',
    Array.from({ length: 999 }, (_, i) => i + 2),
  )
  expect(ended.hasAny('bea', [0, 1])).toBe(true)
  ended.add('bea', [2_000])
  expect([ended.hasAny('bea', [1]), ended.hasAny('bea', [2, 9_999]), ended.hasAny('cy', [2])]).toEqual([
    false,
    true,
    false,
  ])
})
