import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import { ServerEditError } from '@/server/sync/guard'
import { RESTORER, SERVER_AUTHOR } from '@/server/sync/room-doc'
import { author, guardBench, newsOf, ROOM } from './guard-bench'
import { smallRules } from './small-rules'

const note =
  (id: string, text: unknown = 'x') =>
  (doc: Y.Doc) =>
    void doc.getMap('notes').set(`${id}:text`, text)

/** A bench with a note that ann wrote. */
const bench = () => {
  const b = guardBench()
  b.judge(newsOf(b.page(), note('n1', 'old')), author('manager', 'ann'))
  return b
}

describe('an edit by the server', () => {
  it('stands whatever the rules say of roles, under a clientID of its own', () => {
    const b = guardBench({ rules: { ...smallRules, mayWrite: () => expect.unreachable() } })
    const { verdict, sent } = b.serverEdit((d) => (note('n1')(d), note('n2')(d)))
    const entry = {
      room: ROOM,
      at: b.parts.clock.now(),
      personId: 'server',
      deviceId: 'server',
      collection: 'notes',
      recordId: 'n1',
      field: 'text',
      before: null,
      after: 'x',
      outcome: 'accepted',
    }
    expect(verdict).toEqual({
      refused: null,
      rejections: [],
      audit: [entry, { ...entry, recordId: 'n2' }],
      claims: [{ clientId: b.board.serverClient, personId: SERVER_AUTHOR }],
      restored: false,
      deletes: null,
    })
    expect(Y.decodeUpdate(sent!).structs.map((s) => s.id.client)).toEqual([
      b.board.serverClient,
      b.board.serverClient,
    ])
    const { verdict: next } = b.serverEdit(note('n1', 'y'))
    expect(next).toMatchObject({ claims: [], audit: [{ before: 'x', after: 'y' }] })
    expect(b.board.read('notes', 'n1:text')).toBe('y')
  })

  it('that changes nothing claims nothing', () => {
    const { verdict, sent } = guardBench().serverEdit(() => undefined)
    expect([verdict?.claims, verdict?.audit, sent]).toEqual([[], [], null])
  })

  it('is its own, not what was done before it in the same turn', () => {
    const b = guardBench()
    let audit: unknown[] = []
    b.board.transact((tr) => {
      b.guard.update(tr, b.board, newsOf(b.page(), note('n1', 'ann’s')), author('manager', 'ann'))
      audit = b.guard.serverEdit(tr, b.board, note('n2')).audit
    })
    expect(audit).toMatchObject([{ recordId: 'n2' }])
    b.board.transact((tr) => {
      b.guard.serverEdit(tr, b.board, note('n3'))
      audit = b.guard.update(tr, b.board, newsOf(b.page(), note('n4')), author('manager', 'ann')).audit
    })
    expect(audit).toMatchObject([{ recordId: 'n4' }])
  })

  const failing: [string, (d: Y.Doc) => void, string][] = [
    [
      'that fits no field',
      (d) => {
        note('n1', 'new')(d)
        note('n2')(d)
        d.getMap('cars').set('c1:weight', -1)
      },
      'weight “-1”: does not fit. Try another.',
    ],
    [
      'that throws half way',
      (d) => {
        note('n1', 'new')(d)
        note('n2')(d)
        throw new Error('changed my mind')
      },
      'changed my mind',
    ],
    [
      'that throws what is wrong with what it wrote',
      (d) => {
        note('n2', 7)(d)
        throw new Error('no such number')
      },
      'no such number',
    ],
    [
      'that throws nothing in particular',
      (d) => {
        note('n1', 'new')(d)

        throw undefined
      },
      'The edit failed',
    ],
    [
      'that takes a value away',
      (d) => d.getMap('notes').delete('n1:text'),
      'text: a field can’t be deleted. Empty it.',
    ],
    [
      'of a collection that the board does not have',
      (d) => void d.getMap('boats').set('b1:text', 'x'),
      'boats: the board has no such collection or field. Reload the page.',
    ],
  ]
  for (const [what, edit, words] of failing)
    it(`${what} leaves nothing but its reason`, () => {
      const b = bench()
      const { verdict, failure } = b.serverEdit(edit)
      expect(verdict).toBeNull()
      expect(failure).toBeInstanceOf(ServerEditError)
      const error = failure as ServerEditError
      expect([error.message, (error.failure as Error).message]).toEqual(['The server’s edit failed', words])
      expect(error.cause).toBe(error.failure)
      expect(b.shown()).toEqual({ notes: { 'n1:text': 'old' } })
      expect([b.board.read('notes', 'n1:text'), b.board.read('notes', 'n2:text')]).toEqual(['old', undefined])
      expect([error.verdict.audit, error.verdict.rejections]).toEqual([[], []])
      // Each clientID that is now in the document has been claimed.
      const claimed = new Map(error.verdict.claims.map((c) => [c.clientId, c.personId]))
      const { serverClient, restorerClient } = b.board
      const wrote = (client: number) => Y.getState(b.board.doc.store, client) > 0
      expect([claimed.get(serverClient), claimed.get(restorerClient)]).toEqual([
        wrote(serverClient) ? SERVER_AUTHOR : undefined,
        wrote(restorerClient) ? RESTORER : undefined,
      ])
      expect(b.serverEdit(note('n1', 'next')).verdict?.audit).toMatchObject([
        { before: 'old', after: 'next' },
      ])
    })
})
