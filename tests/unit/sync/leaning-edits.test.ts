import type * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import type { PolicyContext } from '@/lib/board'
import { ok, refuse } from '@/lib/core/result'
import type { GuardRules } from '@/server/sync/guard-rules'
import { author, guardBench, newsOf } from './guard-bench'
import { smallRules } from './small-rules'

const ann = author('manager', 'ann')
/** A note may be written once the one of the number before is there; the first at once. Counts how often it is asked. */
function chained() {
  const asked: string[] = []
  const mayWrite: GuardRules['mayWrite'] = ({ read }, { recordId }) => {
    asked.push(recordId)
    const n = Number(recordId.slice(1))
    const isThere = n === 1 || read.field('meeting', 'notes', `n${n - 1}`, 'text') !== undefined
    return isThere ? ok(undefined) : refuse('text', '', 'the one before is missing', 'Write it first.')
  }
  const bench = guardBench({ rules: { ...smallRules, mayWrite } })
  const write = (...numbers: number[]) => {
    asked.length = 0
    const edit = (d: Y.Doc) => numbers.forEach((n) => void d.getMap('notes').set(`n${n}:text`, 'x'))
    const { verdict } = bench.judge(
      newsOf(bench.page(), (d) => d.transact(() => edit(d))),
      ann,
    )
    return {
      stood: verdict.audit.filter((e) => e.outcome === 'accepted').map((e) => e.recordId),
      refused: verdict.rejections.map((r) => [r.kind, r.path?.recordId]),
      asked: asked.length,
    }
  }
  return { ...bench, write }
}

describe('[S4] edits of one update that lean on each other', () => {
  it('stand in whatever order they come', () => {
    expect(chained().write(1, 2, 3)).toEqual({ stood: ['n1', 'n2', 'n3'], refused: [], asked: 3 })
    expect(chained().write(3, 2, 1)).toEqual({ stood: ['n1', 'n2', 'n3'], refused: [], asked: 6 })
  })

  it('are judged six times at most, which ends what a long chain may cost', () => {
    const { stood, refused, asked } = chained().write(8, 7, 6, 5, 4, 3, 2, 1)
    expect(stood).toEqual(['n1', 'n2', 'n3', 'n4', 'n5', 'n6'])
    expect(refused).toEqual([
      ['policy', 'n8'],
      ['policy', 'n7'],
    ])
    expect(asked).toBe(8 + 7 + 6 + 5 + 4 + 3)
  })

  it('are judged once where nothing new was accepted', () => {
    expect(chained().write(5, 4)).toEqual({
      stood: [],
      refused: [
        ['policy', 'n5'],
        ['policy', 'n4'],
      ],
      asked: 2,
    })
    expect(chained().write(7)).toMatchObject({ stood: [], asked: 1 })
  })

  it('stand beside those that do not: what fits no field is refused, and the rules are not asked of it', () => {
    const { guard: _, judge, page } = chained()
    const { verdict } = judge(
      newsOf(page(), (d) =>
        d.transact(() => {
          d.getMap('notes').set('n1:text', 7)
          d.getMap('notes').set('n2:text', 'x')
        }),
      ),
      ann,
    )
    expect(verdict.rejections.map((r) => [r.kind, r.path?.recordId])).toEqual([
      ['schema', 'n1'],
      ['policy', 'n2'],
    ])
  })
})

describe('[S4] the rules are told', () => {
  const contexts = (edit: (d: Y.Doc) => void) => {
    const seen: {
      recordId: string
      ctx: PolicyContext
      was: unknown
      is: unknown
      before: unknown
      after: unknown
    }[] = []
    const mayWrite: GuardRules['mayWrite'] = (ctx, { doc, collection, recordId, field, before, after }) => {
      const about = [doc, collection, 'n1', field] as const
      seen.push({
        recordId,
        ctx,
        was: ctx.before?.field(...about),
        is: ctx.read.field(...about),
        before,
        after,
      })
      return ok(undefined)
    }
    const bench = guardBench({ rules: { ...smallRules, mayWrite } })
    bench.judge(
      newsOf(bench.page(), (d) => void d.getMap('notes').set('n1:text', 'old')),
      ann,
    )
    seen.length = 0
    bench.judge(
      newsOf(bench.page(), (d) => d.transact(() => edit(d))),
      ann,
    )
    return seen
  }
  it('of a lone change no board of before: it is the one that there is', () => {
    const [only] = contexts((d) => void d.getMap('notes').set('n1:text', 'new'))
    expect(only).toMatchObject({
      is: 'old',
      before: 'old',
      after: 'new',
      ctx: { role: 'manager', personId: 'ann' },
    })
    expect(only!.ctx).not.toHaveProperty('before')
  })

  it('of each of several the board of before them all, beside that on which the accepted ones count', () => {
    const seen = contexts((d) => {
      d.getMap('notes').set('n1:text', 'new')
      d.getMap('notes').set('n2:text', 'x')
    })
    expect(seen.map(({ recordId, was, is }) => [recordId, was, is])).toEqual([
      ['n1', 'old', 'old'],
      ['n2', 'old', 'new'],
    ])
  })
})
