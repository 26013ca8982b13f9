import type * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import { author, guardBench, newsOf } from './guard-bench'
import { smallRules } from './small-rules'

const bea = author('mechanic', 'bea')
const ANEW = { kind: 'anew', reason: 'This page starts over: it has edits that are not allowed.' }
/** So many new records that only a manager may make; each leaves 64 bytes and its key's 10. */
const forbidden = (n: number) => (d: Y.Doc) => {
  for (let i = 0; i < n; i++) d.getMap('people').set(`p${1000 + i}:text`, 'x')
}
const allowed = (n: number) => (d: Y.Doc) => {
  for (let i = 0; i < n; i++) d.getMap('notes').set(`n${1000 + i}:text`, 'x')
}
/** A person whose refused edits may leave `left` bytes more. */
const having = (left: number) => {
  const bench = guardBench({ limits: { refusedBytesPerHour: 10_000 } })
  bench.parts.refusals.leave('bea', 10_000 - left)
  const judge = (edit: (d: Y.Doc) => void, by = bea) =>
    bench.judge(
      newsOf(bench.page(), (d) => d.transact(() => edit(d))),
      by,
    )
  return { ...bench, judge, left: () => bench.parts.refusals.bytesLeft('bea') }
}

describe('[S24] an update of a role that may write none of it', () => {
  const rules = { ...smallRules, hasGrant: (role: string) => role !== 'guest' }
  it('is refused whole, leaves nothing, and its author is told of 50 fields of it', () => {
    const bench = guardBench({ rules })
    const { verdict, sent } = bench.judge(newsOf(bench.page(), allowed(60)), author('guest', 'gus'))
    expect(verdict).toMatchObject({ refused: ANEW, claims: [], restored: false, deletes: null, more: false })
    expect([sent, bench.board.authors.size, bench.shown()]).toEqual([null, 0, {}])
    expect([verdict.rejections.length, verdict.audit.length]).toEqual([50, 50])
    expect(verdict.rejections[0]).toMatchObject({
      kind: 'policy',
      path: { collection: 'notes', recordId: 'n1000', field: 'text' },
      attempted: 'x',
      restored: null,
      reason: 'text “x”: a guest may not change it. Ask a manager.',
    })
    expect(verdict.audit[0]).toMatchObject({ personId: 'gus', outcome: 'refused', after: 'x' })
    // Nothing of it counts as left behind.
    expect(bench.parts.refusals.bytesLeft('gus')).toBe(1e9)
  })

  it('is judged as any other where the role may write something of it', () => {
    const bench = guardBench({ rules })
    const { verdict } = bench.judge(newsOf(bench.page(), allowed(1)), bea)
    expect([verdict.refused, verdict.rejections]).toEqual([null, []])
  })
})

describe('[S24] what refused edits leave in the document', () => {
  it('is charged to their author: more for a new key than for one that is there', () => {
    const { judge, left } = having(10_000)
    judge((d) => void d.getMap('people').set('p1:text', 'old'), author('manager', 'ann'))
    judge((d) => void d.getMap('people').set('p1:text', 'new'))
    expect(left()).toBe(10_000 - 32)
    judge(forbidden(2))
    expect(left()).toBe(10_000 - 32 - 2 * 74)
    judge(allowed(3))
    expect(left()).toBe(10_000 - 32 - 2 * 74)
  })

  it('is not foreseen for a small update of somebody who has left little', () => {
    const { judge, left } = having(4_097)
    expect(judge(forbidden(64)).verdict).toMatchObject({ refused: null, restored: true })
    expect(left()).toBe(4_097 - 64 * 74)
  })

  it('is foreseen for an update of more than 64 parts, or when 4,096 bytes or fewer are left; too much is refused whole', () => {
    for (const { judge, left, shown } of [having(4_096), having(4_097)]) {
      const n = left() === 4_096 ? 64 : 65
      const before = left()
      const { verdict, sent } = judge(forbidden(n))
      expect(verdict.refused).toEqual(ANEW)
      expect(verdict.rejections.length).toBe(50)
      expect([sent, left(), shown()]).toEqual([null, before, {}])
    }
  })

  it('may use up what is left to the last byte, and no more', () => {
    expect(having(740).judge(forbidden(10)).verdict.refused).toBeNull()
    expect(having(739).judge(forbidden(10)).verdict.refused).toEqual(ANEW)
  })

  it('of an update taken in by parts is foreseen for the part in hand', () => {
    const bench = guardBench({ limits: { refusedBytesPerHour: 740, structsPerTurn: 10 } })
    const update = newsOf(bench.page(), (d) => d.transact(() => forbidden(20)(d)))
    expect(bench.judge(update, bea).verdict).toMatchObject({ refused: null, more: true })
    expect(bench.judge(update, bea).verdict).toMatchObject({ refused: ANEW, more: false })
  })

  it('keeps nobody from what is allowed, however deep in debt', () => {
    for (const left of [0, -500]) {
      const bench = having(left)
      expect(bench.judge(allowed(80)).verdict).toMatchObject({ refused: null, rejections: [] })
      expect(bench.judge(forbidden(1)).verdict.refused).toEqual(ANEW)
      // Another person has a budget of his own.
      expect(bench.judge(forbidden(1), author('mechanic', 'cy')).verdict.refused).toBeNull()
    }
  })
})
