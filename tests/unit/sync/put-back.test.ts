import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import { RESTORER } from '@/server/sync/room-doc'
import { author, guardBench, newsOf, note } from './guard-bench'
import { boardOf, updateOf } from './sync-desk'

const AT = Date.UTC(2031, 4, 3, 9)
const [ann, bea] = [author('manager', 'ann'), author('mechanic', 'bea')]

describe('[S6] what is put back', () => {
  it('is written by the restorer alone, whose clientID is claimed once; the author is told what he tried', () => {
    const bench = guardBench()
    bench.judge(
      newsOf(bench.page(), (d) => void d.getMap('people').set('p1:text', 'old')),
      ann,
    )
    const page = bench.page(77)
    const { verdict, sent } = bench.judge(
      newsOf(page, (d) => {
        d.getMap('people').set('p1:text', 'new')
        d.getMap('people').set('p2:text', 'added')
        note('n1')(d)
      }),
      bea,
    )
    expect(verdict.restored).toBe(true)
    expect(verdict.claims).toEqual([
      { clientId: 77, personId: 'bea' },
      { clientId: bench.board.restorerClient, personId: RESTORER },
    ])
    expect(verdict.rejections.map((r) => [r.path?.recordId, r.attempted, r.restored, r.at])).toEqual([
      ['p1', 'new', 'old', AT],
      ['p2', 'added', null, AT],
    ])
    expect(verdict.audit.map((e) => [e.recordId, e.outcome, e.before, e.after])).toEqual([
      ['n1', 'accepted', null, 'x'],
      ['p1', 'refused', 'old', 'new'],
      ['p2', 'refused', null, 'added'],
    ])
    // Whoever gets the turn sees nothing of it, its author no more.
    Y.applyUpdate(page, sent!)
    const board = { notes: { 'n1:text': 'x' }, people: { 'p1:text': 'old' } }
    expect([bench.shown(), boardOf(page)]).toEqual([board, board])
    const again = bench.judge(
      newsOf(page, (d) => void d.getMap('people').set('p1:text', 'again')),
      bea,
    )
    expect(again.verdict.claims).toEqual([])
  })

  it('leaves nothing of a list that was put where keys belong', () => {
    const bench = guardBench()
    bench.judge(newsOf(bench.page(), note('n1', 'stays')), ann)
    const { verdict } = bench.judge(
      updateOf((d) => d.getArray('notes').push([1, 2]), 5),
      ann,
    )
    bench.judge(
      updateOf((d) => {
        d.getArray('notes').insert(0, ['a'])
        d.getArray('notes').insert(0, ['b'])
      }, 6),
      ann,
    )
    expect(verdict).toMatchObject({
      restored: true,
      rejections: [
        { kind: 'schema', path: { collection: 'notes', recordId: '', field: '' }, attempted: null },
      ],
    })
    const page = new Y.Doc()
    Y.applyUpdate(page, Y.encodeStateAsUpdate(bench.board.doc))
    const list: unknown[] = []
    for (let item = page.getMap('notes')._start; item; item = item.right) if (!item.deleted) list.push(item)
    expect([list, bench.shown()]).toEqual([[], { notes: { 'n1:text': 'stays' } }])
  })

  it('is not, where the forbidden edit lost: what stands stays untouched', () => {
    const bench = guardBench()
    bench.judge(
      newsOf(bench.page(), (d) => void d.getMap('people').set('p1:text', 'old')),
      ann,
    )
    const late = newsOf(bench.page(5), (d) => void d.getMap('people').set('p1:text', 'late'))
    bench.judge(
      newsOf(bench.page(50), (d) => void d.getMap('people').set('p1:text', 'new')),
      ann,
    )
    const { verdict } = bench.judge(late, bea)
    expect(verdict).toMatchObject({ restored: false, rejections: [{ attempted: 'late', restored: 'new' }] })
    expect(verdict.claims).toEqual([{ clientId: 5, personId: 'bea' }])
    expect(bench.shown()).toEqual({ people: { 'p1:text': 'new' } })
  })

  it('stands in the way of no allowed edit that knew nothing of it', () => {
    for (const client of [1, 0xfffffffe]) {
      const bench = guardBench()
      bench.judge(newsOf(bench.page(), note('n1', 'old')), ann)
      const honest = newsOf(bench.page(client), note('n1', 'new'))
      // Somebody else's forbidden edit came first, and was taken back.
      bench.judge(newsOf(bench.page(), note('n1', 'spray')), author('guest'))
      const { verdict } = bench.judge(honest, bea)
      expect(verdict.audit).toMatchObject([{ outcome: 'accepted', before: 'old', after: 'new' }])
      expect(bench.shown()).toEqual({ notes: { 'n1:text': 'new' } })
      expect(bench.board.read('notes', 'n1:text')).toBe('new')
    }
  })

  it('[S13] of two allowed edits the one that lost is kept in the trail alone', () => {
    const bench = guardBench()
    const late = newsOf(bench.page(5), note('n1', 'late'))
    bench.judge(newsOf(bench.page(50), note('n1', 'first')), ann)
    const { verdict } = bench.judge(late, bea)
    expect(verdict).toMatchObject({
      restored: false,
      rejections: [],
      audit: [{ personId: 'bea', outcome: 'overwritten', before: 'first', after: 'late' }],
    })
    expect([bench.shown(), bench.board.read('notes', 'n1:text')]).toEqual([
      { notes: { 'n1:text': 'first' } },
      'first',
    ])
  })
})

describe('the words of a refusal', () => {
  const wordsOf = (edit: (d: Y.Doc) => void) => {
    const bench = guardBench()
    return bench.judge(newsOf(bench.page(), edit), bea).verdict.rejections.map((r) => [r.kind, r.reason])
  }
  it('[S5] say what is wrong and what to do', () => {
    const unknown = 'the board has no such collection or field. Reload the page.'
    expect(wordsOf((d) => void d.getMap('boats').set('b1:text', 'x'))).toEqual([
      ['schema', `boats: ${unknown}`],
    ])
    expect(wordsOf((d) => void d.getMap('notes').set('no key', 'x'))).toEqual([
      ['schema', `notes: ${unknown}`],
    ])
    expect(wordsOf((d) => void d.getMap('notes').set('n1:shape', new Y.Map()))).toEqual([
      ['schema', 'shape: only plain values can be kept. Enter text or a number.'],
    ])
    expect(wordsOf((d) => void d.getMap('cars').set('c1:weight', -1))).toEqual([
      ['schema', 'weight “-1”: does not fit. Try another.'],
    ])
    expect(wordsOf((d) => void d.getMap('people').set('p1:text', 'x'))).toEqual([
      ['policy', 'text “x”: only a manager may. Ask a manager.'],
    ])
  })

  it('[S6] carry the instant of their line in the trail, by which a refusal that is told twice is known', () => {
    let now = 0
    const bench = guardBench({ now: () => ++now })
    const { verdict } = bench.judge(
      newsOf(bench.page(), (d) =>
        ['p1', 'p2'].forEach((id) => void d.getMap('people').set(`${id}:text`, 'x')),
      ),
      bea,
    )
    expect(verdict.rejections.map((r) => r.at)).toEqual(verdict.audit.map((e) => e.at))
    expect(new Set(verdict.rejections.map((r) => r.at)).size).toBe(2)
  })

  it('[S6] [S13] tell of a deletion that nothing was wanted there', () => {
    const bench = guardBench()
    bench.judge(newsOf(bench.page(), note('n1', 'stays')), ann)
    const { verdict } = bench.judge(
      newsOf(bench.page(), (d) => d.getMap('notes').delete('n1:text')),
      bea,
    )
    expect(verdict.rejections).toMatchObject([{ attempted: null, restored: 'stays' }])
    expect(verdict.audit).toMatchObject([{ before: 'stays', after: null, outcome: 'refused' }])
  })

  it('[S13] tell values of up to 16,384 characters, and no larger ones', () => {
    const told = (value: unknown) => {
      const bench = guardBench()
      const page = bench.page()
      const { verdict } = bench.judge(
        newsOf(page, (d) => void d.getMap('people').set('p1:shape', value)),
        bea,
      )
      expect(verdict.rejections[0]?.attempted).toEqual(verdict.audit[0]?.after)
      return verdict.rejections[0]?.attempted
    }
    for (const fits of [7, false, null, 'x'.repeat(16_382), { a: 'x'.repeat(16_376) }, ['x'.repeat(16_380)]])
      expect(told(fits)).toEqual(fits)
    for (const large of ['x'.repeat(16_383), { a: 'x'.repeat(16_377) }, ['x'.repeat(16_381)]])
      expect(told(large)).toBeNull()
    expect(told(undefined)).toBeNull()
    expect(told(10n)).toBeNull()
  })

  it('[S13] are not what the trail says of edits that stand: it keeps their values whole', () => {
    const bench = guardBench()
    const large = { a: 'x'.repeat(20_000) }
    const { verdict } = bench.judge(
      newsOf(bench.page(), (d) => void d.getMap('notes').set('n1:shape', large)),
      bea,
    )
    expect(verdict.audit).toMatchObject([{ outcome: 'accepted', after: large }])
  })
})
