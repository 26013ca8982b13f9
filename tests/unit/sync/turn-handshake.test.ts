import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import type { Handshake } from '@/server/sync/handshake'
import { earlyNotes } from './guard-bench'
import { smallRules } from './small-rules'
import { barrierWork, note, questionWork, turnBench, updateWork, type TurnBench } from './turn-bench'
import type { HandSocket } from './hand-socket'

const HAS_SOMETHING = Y.encodeStateVector(new Map([[5, 3]]))
const asked = (vector = HAS_SOMETHING): Handshake => ({ state: 'unanswered', asked: vector, held: null })
const forbidden = (d: Y.Doc) => void d.getMap('people').set('p1:text', 'no')
/** A frame that is no update. */
const broken = ({ socket }: HandSocket, answer: boolean) =>
  ({ kind: 'update', from: socket, bytes: Uint8Array.of(200), answer }) as const
const kinds = (replies: readonly { kind: string }[]) => replies.map((r) => r.kind)

describe('[S8] a barrier', () => {
  const of = (is: Handshake) => {
    const bench = turnBench()
    const ann = bench.socket()
    ann.socket.handshake = is
    const { turn } = bench.turn([barrierWork(ann, 4)])
    return [kinds(turn.replies), turn.handshakes.get(ann.socket)]
  }
  const barrier = { epoch: 1, n: 4 }
  it('is answered only where it is known that everything before it was taken in', () => {
    expect(of({ state: 'proven' })).toEqual([['barrier'], undefined])
    expect(of(asked())).toEqual([[], { state: 'unanswered', asked: HAS_SOMETHING, held: barrier }])
    expect(of({ state: 'doubted', held: null })).toEqual([[], { state: 'doubted', held: barrier }])
    expect(of({ state: 'anew' })).toEqual([[], { state: 'anew' }])
  })

  it('after an update that was refused in the same turn is held', () => {
    const bench = turnBench()
    const ann = bench.socket()
    const { turn } = bench.turn([broken(ann, false), barrierWork(ann, 4)])
    expect(kinds(turn.replies)).toEqual(['refused'])
    expect(turn.handshakes.get(ann.socket)).toEqual({ state: 'doubted', held: barrier })
    // Until the turn is on disk the socket is what it was.
    expect(ann.socket.handshake).toEqual({ state: 'proven' })
  })

  it('after a frame that never became work is held, and answered with the next answer that is taken in', () => {
    const bench = turnBench()
    const ann = bench.socket()
    const doubt = { kind: 'doubt', from: ann.socket } as const
    const { turn } = bench.turn([doubt, barrierWork(ann, 4), updateWork(bench, ann, note('n1'), true)])
    expect(turn.replies).toEqual([{ to: ann.socket, kind: 'barrier', barrier }])
    expect(turn.handshakes.get(ann.socket)).toEqual({ state: 'proven' })
  })

  it('is not answered by an update that is no answer', () => {
    const bench = turnBench()
    const ann = bench.socket('manager', 'ann', 'unanswered')
    const { turn } = bench.turn([barrierWork(ann, 4), updateWork(bench, ann, note('n1'))])
    expect(turn.replies).toEqual([])
    expect(turn.handshakes.get(ann.socket)).toMatchObject({ state: 'unanswered', held: barrier })
  })
})

describe('[S6] a question', () => {
  const ask = (is: Handshake, vector: Uint8Array) => {
    const bench = turnBench()
    const ann = bench.socket()
    ann.socket.handshake = is
    const { turn } = bench.turn([questionWork(ann, vector)])
    return [turn.replies, turn.handshakes.get(ann.socket)] as const
  }
  const unanswered: Handshake = { state: 'unanswered', asked: null, held: { epoch: 1, n: 2 } }
  it('of a phone that comes back with something waits for that', () => {
    const [replies, is] = ask(unanswered, HAS_SOMETHING)
    expect(replies).toEqual([])
    expect(is).toEqual({ ...unanswered, asked: HAS_SOMETHING })
  })

  it('of one that has nothing, or has answered, is answered at once', () => {
    for (const [is, vector] of [
      [unanswered, Uint8Array.of(0)],
      [unanswered, new Uint8Array()],
      [{ state: 'proven' }, HAS_SOMETHING],
      [{ state: 'doubted', held: null }, HAS_SOMETHING],
    ] as [Handshake, Uint8Array][]) {
      const [replies, moved] = ask(is, vector)
      expect(replies).toMatchObject([{ kind: 'answer', vector }])
      expect(moved).toBeUndefined()
    }
  })
})

describe('[S6] an answer', () => {
  const back = (bench: TurnBench, role: 'manager' | 'mechanic' | 'guest' = 'manager') => {
    const hand = bench.socket(role, role, 'unanswered')
    return hand
  }

  it('that is taken in proves its phone, which then gets what it asked and its barrier', () => {
    const bench = turnBench()
    const ann = back(bench)
    const { turn } = bench.turn([
      questionWork(ann, HAS_SOMETHING),
      barrierWork(ann, 1),
      barrierWork(ann, 2),
      updateWork(bench, ann, note('n1'), true),
    ])
    expect(turn.replies).toEqual([
      { to: ann.socket, kind: 'answer', vector: HAS_SOMETHING },
      { to: ann.socket, kind: 'barrier', barrier: { epoch: 1, n: 2 } },
    ])
    expect(turn.handshakes.get(ann.socket)).toEqual({ state: 'proven' })
  })

  it('that asked for nothing and held nothing is taken in in silence', () => {
    const bench = turnBench()
    const { turn } = bench.turn([updateWork(bench, back(bench), note('n1'), true)])
    expect(turn.replies).toEqual([])
  })

  it('that is refused proves nothing: its phone gets what it asked, and its barrier is held', () => {
    const bench = turnBench()
    const ann = back(bench)
    const { turn } = bench.turn([questionWork(ann, HAS_SOMETHING), barrierWork(ann, 2), broken(ann, true)])
    expect(kinds(turn.replies)).toEqual(['refused', 'answer'])
    expect(turn.handshakes.get(ann.socket)).toEqual({ state: 'doubted', held: { epoch: 1, n: 2 } })
    expect(turn.authors.size).toBe(0)
  })

  it('is still waited for after another update was refused', () => {
    const bench = turnBench()
    const ann = back(bench)
    const { turn } = bench.turn([questionWork(ann, HAS_SOMETHING), broken(ann, false)])
    expect(kinds(turn.replies)).toEqual(['refused'])
    expect(turn.handshakes.get(ann.socket)).toEqual(asked())
  })

  it('tells of what was refused before it sends what was put back', () => {
    const bench = turnBench()
    const bea = back(bench, 'mechanic')
    const { turn } = bench.turn([questionWork(bea, HAS_SOMETHING), updateWork(bench, bea, forbidden, true)])
    expect(kinds(turn.replies)).toEqual(['rejections', 'answer'])
    expect(turn.handshakes.get(bea.socket)).toEqual({ state: 'proven' })
  })

  it('of a guest who tried what screens do not offer counts as an offence; a mechanic’s does not', () => {
    for (const [role, told] of [
      ['guest', ['rejections', 'offence']],
      ['mechanic', ['rejections']],
    ] as const) {
      const bench = turnBench()
      const hand = bench.socket(role)
      expect(kinds(bench.turn([updateWork(bench, hand, forbidden)]).turn.replies)).toEqual(told)
    }
    const bench = turnBench({ rules: { ...smallRules, mayWrite: () => ({ ok: true, value: undefined }) } })
    const guest = bench.socket('guest')
    expect(bench.turn([updateWork(bench, guest, note('n1'))]).turn.replies).toEqual([])
  })
})

describe('[S6] [S7] an answer that can’t be stored', () => {
  /** A proven page's edit that was taken back while its line was down. */
  function missed() {
    const bench = turnBench()
    const bea = bench.socket('mechanic', 'bea', 'unanswered')
    const page = bench.page()
    forbidden(page)
    const bytes = Y.encodeStateAsUpdate(page)
    const first = bench.turn([
      { kind: 'update', from: bench.socket('mechanic', 'bea').socket, bytes, answer: false },
    ])
    bench.trail.push(
      ...first.batch!.audit.map((e, i) => ({ ...e, deviceId: bea.socket.session.deviceId, seq: i + 1 })),
    )
    bea.socket.handshake = asked(Y.encodeStateVector(page))
    return { bench, bea, page, bytes }
  }

  it('still shows what its phone has not heard of, when it holds nothing new', () => {
    const { bench, bea, bytes } = missed()
    const { turn } = bench.turn([{ kind: 'unstored', from: bea.socket, bytes, refused: false }])
    expect(kinds(turn.replies)).toEqual(['rejections', 'answer'])
    expect(turn.replies[0]).toMatchObject({ rejections: [{ path: { recordId: 'p1' }, attempted: 'no' }] })
    expect(turn.handshakes.get(bea.socket)).toEqual({ state: 'doubted', held: null })
  })

  it('leaves its phone waiting while it holds news that may be taken in later', () => {
    const { bench, bea, page } = missed()
    note('n9')(page)
    const bytes = Y.encodeStateAsUpdate(page)
    const later = bench.turn([{ kind: 'unstored', from: bea.socket, bytes, refused: false }]).turn
    expect([later.replies, later.handshakes.size]).toEqual([[], 0])
    const never = bench.turn([{ kind: 'unstored', from: bea.socket, bytes, refused: true }]).turn
    expect(kinds(never.replies)).toEqual(['rejections', 'answer'])
    // What does not decode will never be taken in.
    const odd = bench.turn([
      { kind: 'unstored', from: bea.socket, bytes: Uint8Array.of(200), refused: false },
    ]).turn
    expect(kinds(odd.replies)).toEqual(['answer'])
  })

  it('of a phone that has gone tells nobody', () => {
    const { bench, bea, bytes } = missed()
    bea.socket.state = { state: 'closed' }
    const { turn } = bench.turn([{ kind: 'unstored', from: bea.socket, bytes, refused: true }])
    expect([turn.replies, turn.handshakes.size]).toEqual([[], 0])
  })
})

describe('[S24] a phone that starts anew', () => {
  const never = { rules: { ...smallRules, hasGrant: (role: string) => role !== 'guest' } }
  it('hears what was refused, then that it starts anew, then what it asked; it is not known by its answer', () => {
    for (const answer of [false, true]) {
      const bench = turnBench(never)
      const gus = bench.socket('guest', 'gus', 'unanswered')
      const work = updateWork(bench, gus, note('n1'), answer)
      const { turn, batch } = bench.turn([questionWork(gus, HAS_SOMETHING), work, barrierWork(gus)])
      expect(kinds(turn.replies)).toEqual(['rejections', 'refused', 'answer'])
      expect(turn.replies[0]).toMatchObject({ rejections: [{ path: { recordId: 'n1' }, attempted: 'x' }] })
      expect(turn.replies[1]).toMatchObject({ why: { kind: 'anew' } })
      expect(turn.handshakes.get(gus.socket)).toEqual({ state: 'anew' })
      expect(turn.counts.refused).toBe(1)
      expect(batch).toMatchObject({
        updates: [],
        authors: [],
        audit: [{ outcome: 'refused', personId: 'gus' }],
      })
    }
  })

  it('is heard no more: nothing of it is taken in, told or charged', () => {
    const bench = turnBench()
    const ann = bench.socket()
    ann.socket.handshake = { state: 'anew' }
    const { turn, batch } = bench.turn([updateWork(bench, ann, note('n1')), broken(ann, true)])
    expect([turn.replies, turn.update, batch?.audit, bench.spent]).toEqual([[], null, [], []])
    expect(turn.handshakes.size).toBe(0)
  })

  it('other refusals of a whole update leave no line of the trail', () => {
    const bench = turnBench()
    const ann = bench.socket()
    const { turn, batch } = bench.turn([broken(ann, false)])
    expect([turn.counts, batch?.audit]).toEqual([{ accepted: 0, refused: 0, overwritten: 0 }, []])
  })
})

describe('[S4] an update that comes early', () => {
  it('waits up to 2 s from when it came, with all that its phone sent after it', () => {
    const state = { early: true }
    const bench = turnBench({ rules: earlyNotes(() => state.early) })
    bench.time.now = 500
    const ann = bench.socket()
    const work = [updateWork(bench, ann, note('n1')), barrierWork(ann)]
    for (const now of [500, 1_000, 2_499]) {
      bench.time.now = now
      const { turn } = bench.turn(work)
      expect([turn.rest, turn.replies, ann.socket.earlySince]).toEqual([work, [], 500])
    }
    bench.time.now = 2_500
    const { turn } = bench.turn(work)
    expect([turn.rest, kinds(turn.replies), ann.socket.earlySince]).toEqual([[], ['barrier'], null])
    expect(bench.shown()).toEqual({ notes: { 'n1:text': 'x' } })
  })

  it('is taken in as soon as what it rests on is there, and the next may wait as long again', () => {
    const state = { early: true }
    const bench = turnBench({ rules: earlyNotes(() => state.early) })
    const ann = bench.socket()
    const [one, two] = [updateWork(bench, ann, note('n1')), updateWork(bench, ann, note('n2'))]
    bench.turn([one])
    bench.time.now = 1_900
    state.early = false
    expect(bench.turn([one]).turn.rest).toEqual([])
    state.early = true
    bench.time.now = 2_400
    expect(bench.turn([two]).turn.rest).toEqual([two])
    expect(ann.socket.earlySince).toBe(2_400)
  })
})
