import { describe, expect, it } from 'vitest'
import { answersLast, fairly, type Reply, type Work } from '@/server/sync/turn'
import type { HandSocket } from './hand-socket'
import {
  barrierWork,
  editWork,
  note,
  questionWork,
  turnBench,
  updateWork,
  type TurnBench,
} from './turn-bench'

const notesOf = (bench: TurnBench) => Object.keys(bench.shown()['notes'] ?? {})
const writes = (bench: TurnBench, socket: HandSocket, ...ids: string[]) =>
  ids.map((id) => updateWork(bench, socket, note(id)))

describe('[S25] a turn that has taken its time', () => {
  it('puts off what is left, in its order, but never before it has served somebody', () => {
    const bench = turnBench()
    const [ann, bea] = [bench.socket('manager', 'ann'), bench.socket('mechanic', 'bea')]
    const [a1, b1, a2] = [
      ...writes(bench, ann, 'a1'),
      ...writes(bench, bea, 'b1'),
      ...writes(bench, ann, 'a2'),
    ] as [Work, Work, Work]
    bench.time.cost = 16
    const first = bench.turn([a1, b1, a2])
    expect([notesOf(bench), first.turn.rest]).toEqual([['a1:text'], [b1, a2]])
    const second = bench.turn(first.turn.rest)
    expect([notesOf(bench), second.turn.rest]).toEqual([['a1:text', 'b1:text'], [a2]])
  })

  it('goes on as long as there is time', () => {
    const bench = turnBench()
    const ann = bench.socket()
    bench.time.cost = 7
    expect(bench.turn(writes(bench, ann, 'a1', 'a2', 'a3', 'a4')).turn.rest.length).toBe(1)
    bench.time.cost = 15
    expect(bench.turn(writes(bench, ann, 'b1', 'b2', 'b3')).turn.rest.length).toBe(1)
  })

  it('for an edit of the server’s still serves somebody', () => {
    const bench = turnBench()
    bench.time.cost = 20
    const { work } = editWork(note('server'))
    const { turn } = bench.turn([work, ...writes(bench, bench.socket(), 'a1', 'a2')])
    expect([notesOf(bench), turn.rest.length]).toEqual([['a1:text', 'server:text'], 1])
  })

  it('is counted from its own beginning', () => {
    const bench = turnBench()
    bench.time.now = 1_000
    expect(bench.turn(writes(bench, bench.socket(), 'a1', 'a2')).turn.rest).toEqual([])
  })

  it('puts off a barrier behind an update of the same phone, so that it acknowledges nothing that waits', () => {
    const bench = turnBench()
    const [ann, bea] = [bench.socket('manager', 'ann'), bench.socket('mechanic', 'bea')]
    bench.time.cost = 20
    const [a1, b1] = [...writes(bench, ann, 'a1'), ...writes(bench, bea, 'b1')] as [Work, Work]
    const barrier = barrierWork(bea)
    const { turn } = bench.turn([a1, b1, barrier])
    expect([turn.replies, turn.rest]).toEqual([[], [b1, barrier]])
    bench.time.cost = 0
    expect(bench.turn(turn.rest).turn.replies).toEqual([
      { to: bea.socket, kind: 'barrier', barrier: { epoch: 1, n: 1 } },
    ])
  })

  it('still makes the server’s own edits, for which somebody waits', () => {
    const bench = turnBench()
    const ann = bench.socket()
    bench.time.cost = 20
    const { work } = editWork(note('server'))
    const { turn } = bench.turn([...writes(bench, ann, 'a1', 'a2'), work])
    expect([notesOf(bench), turn.rest.length, turn.edits.length]).toEqual([['a1:text', 'server:text'], 1, 1])
  })
})

describe('[S25] answers', () => {
  it('of one turn take about 10 ms: one always, the others as long as there is time for them', () => {
    const bench = turnBench()
    const asking = [1, 2, 3, 4].map((n) => questionWork(bench.socket('mechanic', `m${n}`)))
    const answered = (ms: number) => bench.turn(asking, ms).turn.replies.length
    expect([0, 2, 3, 5, 6, 50].map(answered)).toEqual([4, 4, 3, 2, 1, 1])
  })

  it('that are put off hold up what else their phone sent, and nobody else', () => {
    const bench = turnBench()
    const [ann, bea, cy] = [1, 2, 3].map((n) => bench.socket('mechanic', `m${n}`)) as [
      HandSocket,
      HandSocket,
      HandSocket,
    ]
    const work = [questionWork(ann), questionWork(bea), barrierWork(bea), barrierWork(cy)]
    const { turn } = bench.turn(work, 20)
    expect(turn.replies.map((r) => [r.to, r.kind])).toEqual([
      [ann.socket, 'answer'],
      [cy.socket, 'barrier'],
    ])
    expect(turn.rest).toEqual([work[1], work[2]])
  })
})

describe('[S25] an update of more parts than a turn takes in', () => {
  it('is taken in by parts; its phone is proven, and charged what it stored, with the last', () => {
    const bench = turnBench({ limits: { structsPerTurn: 2 } })
    const ann = bench.socket('manager', 'ann', 'unanswered')
    const big = updateWork(
      bench,
      ann,
      (d) => ['n1', 'n2', 'n3', 'n4', 'n5'].forEach((id) => note(id)(d)),
      true,
    )
    const barrier = barrierWork(ann)
    const stored: number[] = []
    bench.parts.stored.store = (_, bytes) => void stored.push(bytes)
    let work: readonly Work[] = [big, barrier]
    const after: number[] = []
    while (work.length > 0) {
      const { turn } = bench.turn(work)
      after.push(notesOf(bench).length)
      if (turn.rest.length > 0) {
        expect([turn.replies, turn.rest, stored]).toEqual([[], [big, barrier], []])
        expect(turn.handshakes.get(ann.socket)).toBeUndefined()
      } else {
        expect(turn.handshakes.get(ann.socket)).toEqual({ state: 'proven' })
        expect(turn.replies).toEqual([{ to: ann.socket, kind: 'barrier', barrier: { epoch: 1, n: 1 } }])
      }
      work = turn.rest
    }
    expect([after, stored]).toEqual([[2, 4, 5], [big.bytes.length]])
  })

  it('is told of what is refused with the part that holds it', () => {
    const bench = turnBench({ limits: { structsPerTurn: 1 } })
    const mec = bench.socket('mechanic')
    const work = updateWork(bench, mec, (d) => {
      d.getMap('people').set('p1:text', 'no')
      note('n1')(d)
    })
    const { turn } = bench.turn([work])
    expect(turn.replies).toMatchObject([{ kind: 'rejections', rejections: [{ attempted: 'no' }] }])
    expect(turn.rest).toEqual([work])
  })
})

describe('[S25] what a person stores', () => {
  it('is counted by the bytes of what was taken in, not of what changed nothing', () => {
    const bench = turnBench()
    const ann = bench.socket('mechanic', 'ann')
    const stored: unknown[] = []
    bench.parts.stored.store = ({ personId, role }, bytes) => void stored.push([personId, role, bytes])
    const work = updateWork(bench, ann, note('n1'))
    bench.turn([work])
    bench.turn([work])
    expect(stored).toEqual([['ann', 'mechanic', work.bytes.length]])
  })

  it('and what it takes of the server’s time is charged, with the lines it leaves', () => {
    const bench = turnBench()
    bench.time.cost = 4
    bench.time.now = 100
    bench.turn([updateWork(bench, bench.socket(), (d) => (note('n1')(d), note('n2')(d)))])
    expect(bench.spent).toEqual([expect.closeTo(8 + 2 * 0.03, 9)])
  })
})

describe('[S25] fairly', () => {
  const bench = turnBench()
  const [ann, ann2, bea] = [
    bench.socket('manager', 'ann'),
    bench.socket('manager', 'ann'),
    bench.socket('driver', 'bea'),
  ]
  it('takes one piece of each person after the other, whatever socket it came by, each person’s in order', () => {
    const [a1, a2, a3, b1, b2] = [
      barrierWork(ann, 1),
      barrierWork(ann2, 2),
      barrierWork(ann, 3),
      barrierWork(bea, 1),
      barrierWork(bea, 2),
    ] as [Work, Work, Work, Work, Work]
    expect(fairly([a1, a2, a3, b1, b2])).toEqual([a1, b1, a2, b2, a3])
    expect(fairly([])).toEqual([])
  })

  it('takes the server’s own edits for one person, whom nobody can be', () => {
    const [e1, e2] = [editWork(note('x')).work, editWork(note('y')).work]
    const named = barrierWork(bench.socket('driver', 'server'))
    expect(fairly([e1, e2, named])).toEqual([e1, named, e2])
  })
})

describe('the replies of a turn', () => {
  it('to those who asked for nothing come before an answer, and each socket’s stay in order', () => {
    const bench = turnBench()
    const [ann, bea, cai] = [bench.socket('manager', 'ann'), bench.socket('mechanic', 'bea'), bench.socket()]
    const answer = (to: HandSocket): Reply => ({
      to: to.socket,
      kind: 'answer',
      vector: new Uint8Array(),
    })
    const offence = (to: HandSocket): Reply => ({ to: to.socket, kind: 'offence' })
    const all = [offence(ann), answer(ann), offence(bea), offence(ann), answer(bea), offence(cai)] as const
    const [ann1, ann2, bea1, ann3, bea2, cai1] = all
    expect(answersLast(all)).toEqual([ann1, bea1, cai1, ann2, ann3, bea2])
    expect(answersLast([])).toEqual([])
  })
})
