import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import { STORED_PER_HOUR } from '@/server/sync/stored-budget'
import { author, guardBench, newsOf, ROOM, note, earlyNotes } from './guard-bench'

const AT = Date.UTC(2031, 4, 3, 9)
const [ann, bea] = [author('manager', 'ann'), author('mechanic', 'bea')]
const NOTHING = { rejections: [], audit: [], claims: [], restored: false }

describe('the verdict on an update', () => {
  it('[S13] that stands says what changed, who is the author, and nothing else', () => {
    const bench = guardBench()
    const page = bench.page(77)
    const { verdict, sent } = bench.judge(newsOf(page, note('n1')), bea)
    const { deletes, ...rest } = verdict
    const entry = {
      room: ROOM,
      at: AT,
      personId: 'bea',
      deviceId: bea.deviceId,
      collection: 'notes',
      recordId: 'n1',
      field: 'text',
      before: null,
      after: 'x',
      outcome: 'accepted',
    }
    expect(rest).toEqual({
      refused: null,
      rejections: [],
      audit: [entry],
      claims: [{ clientId: 77, personId: 'bea' }],
      restored: false,
      early: false,
      more: false,
    })
    expect(deletes?.clients.size).toBe(0)
    expect(Y.decodeUpdate(sent!).structs.length).toBe(1)
    // The second time the author is known, and so is what was there.
    const { verdict: again } = bench.judge(newsOf(page, note('n1', 'y')), bea)
    expect([again.claims, again.audit]).toEqual([[], [{ ...entry, before: 'x', after: 'y' }]])
    expect([...again.deletes!.clients.keys()]).toEqual([77])
  })

  it('[S2] that can’t be read says why, in words, and leaves no trace', () => {
    const bench = guardBench()
    const { verdict, sent } = bench.judge(Uint8Array.from([1, 1, 7, 3, 0, 1, 0]), ann)
    expect(verdict).toEqual({
      ...NOTHING,
      deletes: null,
      refused: {
        kind: 'gap',
        reason: 'The edits were refused: earlier edits of the same client are missing.',
      },
    })
    expect(bench.judge(Uint8Array.of(200), ann).verdict.refused?.kind).toBe('malformed')
    expect([sent, bench.board.authors.size]).toEqual([null, 0])
  })

  it('[S3] under another’s clientID, or one that is the server’s, is refused whole', () => {
    const bench = guardBench()
    bench.judge(newsOf(bench.page(77), note('n1')), ann)
    const { serverClient, restorerClient } = bench.board
    for (const client of [77, serverClient, restorerClient]) {
      const { verdict, sent } = bench.judge(newsOf(bench.page(client), note('n2', 'forged')), bea)
      expect(verdict).toEqual({
        ...NOTHING,
        deletes: null,
        refused: { kind: 'authorship', reason: 'The edits were written under somebody else’s name.' },
      })
      expect(sent).toBeNull()
    }
    expect(bench.judge(newsOf(bench.page(77), note('n2')), ann).verdict.refused).toBeNull()
    expect(bench.judge(newsOf(bench.page(78), note('n3')), bea).verdict.refused).toBeNull()
  })

  it('[S3] with one forged part among its sender’s own is refused whole', () => {
    const bench = guardBench()
    const page = bench.page(77)
    bench.judge(newsOf(page, note('n1')), ann)
    const own = newsOf(bench.page(5), note('n2'))
    const { verdict, sent } = bench.judge(Y.mergeUpdates([own, newsOf(page, note('n3', 'forged'))]), bea)
    expect([verdict.refused?.kind, sent, bench.board.authors.get(5)]).toEqual(['authorship', null, undefined])
  })

  it('[S23] asks of each unknown clientID, and of no other, whether it may be its sender’s', () => {
    const bench = guardBench()
    bench.judge(newsOf(bench.page(77), note('n1')), ann)
    const update = Y.mergeUpdates([77, 8, 9].map((client) => newsOf(bench.page(client), note(`n${client}`))))
    const asked: (readonly number[])[] = []
    const refusal = { kind: 'generation', reason: 'Reload.' } as const
    const claims = (answer: typeof refusal | null) => ({
      refuse: (unknown: readonly number[]) => (asked.push([...unknown].sort()), answer),
    })
    const { verdict, sent } = bench.judge(update, ann, { claims: claims(refusal) })
    expect(verdict).toEqual({ ...NOTHING, deletes: null, refused: refusal })
    expect([sent, bench.board.authors.size]).toEqual([null, 1])
    expect(bench.judge(update, ann, { claims: claims(null) }).verdict.claims).toEqual([
      { clientId: 9, personId: 'ann' },
      { clientId: 8, personId: 'ann' },
    ])
    expect(asked).toEqual([
      [8, 9],
      [8, 9],
    ])
  })

  it('[S25] of somebody who has stored too much waits, said in words; taking something away does not', () => {
    const bench = guardBench()
    const page = bench.page()
    bench.judge(newsOf(page, note('n1')), bea)
    bench.parts.stored.store(bea, STORED_PER_HOUR.mechanic * 1.5)
    const { verdict, sent } = bench.judge(newsOf(page, note('n2')), bea)
    expect(verdict).toEqual({
      ...NOTHING,
      deletes: null,
      refused: {
        kind: 'too-large',
        reason:
          'You have saved 16 MiB within the hour, the limit for a mechanic. Your edits wait on this phone. They will be sent in 30 min.',
        laterMs: 1_800_000,
      },
    })
    expect(sent).toBeNull()
    const deletion = newsOf(bench.page(), (d) => d.getMap('notes').delete('n1:text'))
    expect(bench.judge(deletion, bea).verdict).toMatchObject({
      refused: null,
      rejections: [{ kind: 'schema' }],
    })
  })

  it('[S4] that comes early is left as it is while it may wait, and judged when it may not', () => {
    const bench = guardBench({ rules: earlyNotes(() => true) })
    const update = newsOf(bench.page(77), note('n1'))
    const { verdict, sent } = bench.judge(update, ann, { mayWait: true })
    expect(verdict).toEqual({ ...NOTHING, deletes: null, refused: null, early: true })
    expect([sent, bench.board.authors.size]).toEqual([null, 0])
    expect(bench.judge(update, ann).verdict).toMatchObject({ early: false, audit: [{ outcome: 'accepted' }] })
  })
})

describe('[S25] an update of many parts', () => {
  const parts = (n: number) => (d: Y.Doc) => {
    for (let i = 1; i <= n; i++) note(`n${i}`)(d)
  }
  it('is taken in by as many as a turn may hold, from its beginning', () => {
    const bench = guardBench({ limits: { structsPerTurn: 3 } })
    const update = newsOf(bench.page(), parts(7))
    const turns = [1, 2, 3, 4].map(() => bench.judge(update, ann).verdict)
    expect(turns.map((v) => [v.more, v.audit.map((e) => e.recordId)])).toEqual([
      [true, ['n1', 'n2', 'n3']],
      [true, ['n4', 'n5', 'n6']],
      [false, ['n7']],
      [false, []],
    ])
    expect(turns.flatMap((v) => v.claims).length).toBe(1)
    expect(bench.judge(newsOf(bench.page(), parts(3)), ann).verdict.more).toBe(false)
  })

  it('deletes nothing before its last part is there', () => {
    const bench = guardBench({ limits: { structsPerTurn: 2 } })
    bench.judge(newsOf(bench.page(), note('old', 'stays')), ann)
    const update = newsOf(bench.page(), (d) => {
      d.getMap('notes').delete('old:text')
      parts(3)(d)
    })
    const [first, last] = [bench.judge(update, ann).verdict, bench.judge(update, ann).verdict]
    expect([first.rejections, last.rejections.map((r) => r.path?.recordId)]).toEqual([[], ['old']])
    expect(bench.shown()['notes']).toMatchObject({ 'old:text': 'stays' })
  })
})
