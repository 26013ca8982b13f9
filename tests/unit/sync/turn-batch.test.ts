import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import type { AuditEntry } from '@/server/storage/store'
import { SERVER_AUTHOR } from '@/server/sync/room-doc'
import { ROOM } from './guard-bench'
import { smallRules } from './small-rules'
import { boardOf } from './sync-desk'
import { barrierWork, editWork, note, questionWork, turnBench, updateWork } from './turn-bench'

const boardIn = (...updates: Uint8Array[]) => {
  const doc = new Y.Doc()
  for (const u of updates) Y.applyUpdate(doc, u)
  return boardOf(doc)
}

describe('[S7] what a turn would store', () => {
  it('is one update with all that stood, who wrote under which clientID, and the trail', () => {
    const bench = turnBench()
    const [ann, bea] = [bench.socket('manager', 'ann'), bench.socket('mechanic', 'bea')]
    const [one, two] = [updateWork(bench, ann, note('n1')), updateWork(bench, bea, note('n2', 'y'))]
    const { turn, batch } = bench.turn([one, two])
    expect(batch?.updates).toEqual([{ room: ROOM, update: turn.update, at: bench.parts.clock.now() }])
    expect(boardIn(turn.update!)).toEqual({ notes: { 'n1:text': 'x', 'n2:text': 'y' } })
    const clientIn = (bytes: Uint8Array) => Y.decodeUpdate(bytes).structs[0]!.id.client
    expect(batch?.authors).toEqual([
      { room: ROOM, clientId: clientIn(one.bytes), personId: 'ann' },
      { room: ROOM, clientId: clientIn(two.bytes), personId: 'bea' },
    ])
    expect(batch?.audit.map((e) => [e.personId, e.recordId, e.outcome])).toEqual([
      ['ann', 'n1', 'accepted'],
      ['bea', 'n2', 'accepted'],
    ])
    expect(turn).toMatchObject({
      stored: true,
      restored: false,
      counts: { accepted: 2, refused: 0, overwritten: 0 },
    })
    expect(turn.authors).toEqual(new Set([ann.socket, bea.socket]))
  })

  it('is nothing when nobody writes, or what is written is there already', () => {
    const bench = turnBench()
    const ann = bench.socket()
    const work = updateWork(bench, ann, note('n1'))
    bench.turn([work])
    for (const again of [[work], [questionWork(ann), barrierWork(ann)]]) {
      const { turn, batch } = bench.turn(again)
      expect(batch).toEqual({ updates: [], authors: [], audit: [], alongside: [] })
      expect([turn.update, turn.stored]).toEqual([null, false])
    }
  })

  it('begins from what was there before it', () => {
    const bench = turnBench()
    const ann = bench.socket()
    bench.turn([updateWork(bench, ann, note('n1'))])
    const vector = Y.encodeStateVector(bench.board.doc)
    const { turn } = bench.turn([updateWork(bench, ann, note('n2'))])
    expect(Y.decodeStateVector(turn.vectorBefore())).toEqual(Y.decodeStateVector(vector))
    expect(Y.decodeStateVector(bench.turn([questionWork(ann)]).turn.vectorBefore())).toEqual(new Map())
  })

  it('holds nothing of a socket that has gone meanwhile', () => {
    const bench = turnBench()
    const ann = bench.socket()
    const work = updateWork(bench, ann, note('n1'))
    ann.socket.state = { state: 'closed' }
    const { turn, batch } = bench.turn([work])
    expect([turn.update, turn.replies, batch?.audit]).toEqual([null, [], []])
    expect(bench.shown()).toEqual({})
  })
})

describe('an edit by the server', () => {
  it('is stored under the server’s own clientID with the rows beside it, and sent to its author’s phones too', () => {
    const bench = turnBench()
    const { work, became } = editWork(note('n1', 'by hand'))
    const alongside = () => undefined
    const { turn, batch } = bench.turn([{ ...work, alongside }])
    expect(boardIn(turn.update!)).toEqual({ notes: { 'n1:text': 'by hand' } })
    expect(batch?.authors).toEqual([
      { room: ROOM, clientId: bench.board.serverClient, personId: SERVER_AUTHOR },
    ])
    expect(batch?.audit).toMatchObject([
      { personId: 'server', deviceId: 'server', outcome: 'accepted', after: 'by hand' },
    ])
    expect(batch?.alongside).toEqual([alongside])
    expect([turn.restored, turn.edits.length, became]).toEqual([true, 1, []])
    turn.edits[0]!.resolve()
    expect(became).toEqual(['done'])
  })

  it('that does not fit leaves nothing but its reason, neither rows nor lines of the trail', () => {
    const bench = turnBench()
    const { work, became } = editWork((d) => {
      note('n1')(d)
      d.getMap('cars').set('c1:weight', -1)
    })
    const { turn, batch } = bench.turn([{ ...work, alongside: () => undefined }])
    expect(became).toEqual([
      expect.objectContaining({ message: expect.stringContaining('does not fit') as string }),
    ])
    expect([turn.edits, batch?.alongside, batch?.audit]).toEqual([[], [], []])
    expect(bench.shown()).toEqual({})
    // What undoing it left in the document has an author, as everything there has.
    const wrote = [...new Set(Y.decodeUpdate(turn.update!).structs.map((s) => s.id.client))]
    const known = new Set(batch?.authors.map((a) => a.clientId))
    expect(wrote.every((client) => known.has(client))).toBe(true)
    expect(turn.restored).toBe(true)
  })

  it('is told in the history as its maker says, after what happened elsewhere', () => {
    const bench = turnBench()
    const { work } = editWork((d) => (note('n1')(d), note('n2')(d)))
    const besides = [{ recordId: 'elsewhere' } as AuditEntry]
    const own = (e: AuditEntry) => (e.recordId === 'n1' ? null : { ...e, personId: 'ann' })
    const { turn, batch } = bench.turn([{ ...work, told: { besides, own } }])
    expect(batch?.audit.map((e) => [e.recordId, e.personId])).toEqual([
      ['elsewhere', undefined],
      ['n2', 'ann'],
    ])
    expect(turn.counts.accepted).toBe(1)
  })

  it('is told whole, also what was refused elsewhere: that is no hostile phone’s', () => {
    const bench = turnBench({ limits: { refusedAuditPerMinute: 0 } })
    const own = (e: AuditEntry): AuditEntry => ({ ...e, outcome: 'refused' })
    const { batch } = bench.turn([{ ...editWork(note('n1', 'tried')).work, told: { besides: [], own } }])
    expect(batch?.audit).toMatchObject([{ outcome: 'refused', after: 'tried' }])
  })
})

describe('a turn that meets a bug', () => {
  const buggy = {
    ...smallRules,
    mayWrite: () => {
      throw new Error('a bug')
    },
  }
  it('stores nothing and names the culprit among its work', () => {
    const bench = turnBench({ rules: buggy })
    const ann = bench.socket()
    const { turn, batch } = bench.turn([
      barrierWork(ann),
      updateWork(bench, ann, note('n1')),
      barrierWork(ann),
    ])
    expect(batch).toBeNull()
    expect([turn.position, turn.fault]).toEqual([1, expect.objectContaining({ message: 'a bug' })])
    const refused: unknown[] = []
    turn.refuseCulprit((socket) => void refused.push(socket))
    expect(refused).toEqual([ann.socket])
  })

  it('tells the server’s own edit, and blames no socket', () => {
    const bench = turnBench({
      rules: {
        ...smallRules,
        parseKey: () => {
          throw new Error('a bug')
        },
      },
    })
    const { work, became } = editWork(note('n1'))
    const { turn, batch } = bench.turn([work])
    expect(batch).toBeNull()
    turn.refuseCulprit(() => expect.unreachable())
    expect(became).toEqual([expect.objectContaining({ message: 'a bug' })])
  })

  it('blames nobody when what it met was no update', () => {
    const bench = turnBench()
    const { turn } = bench.turn([barrierWork(bench.socket())])
    turn.refuseCulprit(() => expect.unreachable())
    bench.turn([]).turn.refuseCulprit(() => expect.unreachable())
  })
})

describe('[S24] the trail of refused edits', () => {
  const refusedBy = (limits: object, values: unknown[]) => {
    const bench = turnBench({ limits })
    const mal = bench.socket('mechanic', 'mal')
    const { turn, batch } = bench.turn(
      values.map((v, i) => updateWork(bench, mal, (d) => void d.getMap('people').set(`p${i}:shape`, v))),
    )
    expect(turn.counts.refused).toBe(values.length)
    return batch?.audit.map((e) => e.after)
  }
  it('holds so many lines, and the phone is told of all', () => {
    expect(refusedBy({ refusedAuditPerMinute: 2 }, [{ a: 1 }, { a: 2 }, { a: 3 }])).toEqual([
      { a: 1 },
      { a: 2 },
    ])
  })

  it('holds so many characters of what was tried, and lines without it after that', () => {
    // {"a":"…"} takes 8 characters beside its own; then nothing is left for 5.
    const long = { a: 'y'.repeat(12) }
    expect(refusedBy({ attemptedPerHour: 20 }, [long, { a: 1 }, 1])).toEqual([long, null, null])
    expect(refusedBy({ attemptedPerHour: 19 }, [long, { a: 1 }])).toEqual([null, { a: 1 }])
  })

  it('counts a text by its characters, and holds nothing of what is no plain value', () => {
    expect(refusedBy({ attemptedPerHour: 12 }, ['y'.repeat(12)])).toEqual(['y'.repeat(12)])
    expect(refusedBy({ attemptedPerHour: 12 }, ['y'.repeat(13)])).toEqual([null])
    expect(refusedBy({ attemptedPerHour: 12 }, [10n, 'y'.repeat(8)])).toEqual([null, 'y'.repeat(8)])
  })

  it('is not for what stands: that is always kept', () => {
    const bench = turnBench({ limits: { refusedAuditPerMinute: 0, attemptedPerHour: 0 } })
    const { batch } = bench.turn([updateWork(bench, bench.socket(), note('n1', 'kept'))])
    expect(batch?.audit.map((e) => e.after)).toEqual(['kept'])
  })
})
