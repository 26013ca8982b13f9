import { describe, expect, it } from 'vitest'
import * as Y from 'yjs'
import type { RoomDoc } from '@/server/sync/room-doc'
import type { SyncSocket } from '@/server/sync/sync-socket'
import type { Reply, Turn, Work } from '@/server/sync/turn'
import { Unsettled } from '@/server/sync/unsettled'
import { Untold } from '@/server/sync/untold'

const [ann, ben] = [{}, {}] as [SyncSocket, SyncSocket]
const bytes = new Uint8Array()
const vector = new Uint8Array([0])
const edit = (from = ann, answer = false): Work => ({ kind: 'update', from, bytes, answer })
const question: Work = { kind: 'question', from: ann, vector }
const doubt: Work = { kind: 'doubt', from: ann }
const barrier = { kind: 'barrier', from: ann, barrier: {} } as Work

type Judged = Partial<Pick<Turn, 'rest' | 'replies' | 'update'>> & { before?: Uint8Array }
const judged = ({ rest = [], replies = [], update = null, before = vector }: Judged = {}) =>
  ({ rest, replies, update, handshakes: new Map(), vectorBefore: () => before }) as unknown as Turn
function holding(...turns: Turn[]): Unsettled {
  const unsettled = new Unsettled()
  for (const turn of turns) unsettled.add(turn)
  return unsettled
}

describe('[P4] what can be judged on top of a commit under way', () => {
  it('is anything where none is under way', () => {
    for (const work of [[], [question], [edit(ann, true)], [edit()]])
      expect(holding().canBear(work)).toBe(true)
  })

  it('is edits, barriers and doubts; no question and no answer, and none of them between others', () => {
    const unsettled = holding(judged())
    for (const work of [[], [edit()], [barrier], [doubt], [edit(), barrier, doubt, edit(ben)]])
      expect(unsettled.canBear(work)).toBe(true)
    for (const one of [question, edit(ann, true)])
      for (const work of [[one], [one, edit()], [edit(), one], [doubt, one, barrier]])
        expect(unsettled.canBear(work)).toBe(false)
  })

  it('is nothing after a turn that has put work off, or owes an answer; only the newest counts', () => {
    const late = judged({ rest: [edit()] })
    const owing = judged({
      replies: [
        { to: ann, kind: 'barrier' },
        { to: ann, kind: 'answer', vector },
      ] as Reply[],
    })
    for (const turn of [late, owing]) {
      expect(holding(judged(), turn).canBear([edit()])).toBe(false)
      expect(holding(turn, judged()).canBear([edit()])).toBe(true)
    }
    expect(holding(judged({ replies: [{ to: ann, kind: 'offence' }] })).canBear([edit()])).toBe(true)
  })
})

it('[P4] an answer that was put off is found by its socket, wherever it stands in the newest turn', () => {
  expect(holding().holdsAnswerOf(ann)).toBe(false)
  expect(holding(judged()).holdsAnswerOf(ann)).toBe(false)
  const mixed = judged({ rest: [doubt, edit(ann), edit(ben, true), question] })
  expect(holding(mixed).holdsAnswerOf(ben)).toBe(true)
  expect(holding(mixed).holdsAnswerOf(ann)).toBe(false)
  expect(holding(mixed, judged()).holdsAnswerOf(ben)).toBe(false)
  expect(holding(judged({ rest: [barrier] })).holdsAnswerOf(ann)).toBe(false)
})

describe('what is on disk of a document with turns that are not', () => {
  const doc = new Y.Doc()
  doc.getMap('kit').set('a', 1)
  const board = { doc } as RoomDoc
  const update = Y.encodeStateAsUpdate(doc)

  it('[P4] is what the first turn that changes anything found', () => {
    expect(holding().storedVector(board)).toEqual(Y.encodeStateVector(doc))
    expect(holding(judged()).storedVector(board)).toEqual(Y.encodeStateVector(doc))
    const [first, second] = [new Uint8Array([1, 5, 3]), new Uint8Array([1, 5, 4])]
    const turns = [judged(), judged({ update, before: first }), judged({ update, before: second })]
    expect(holding(...turns).storedVector(board)).toBe(first)
  })

  it('[S26] is told later where a turn that counts as failed is there after all, with its refusals alone', () => {
    const replies = [
      { to: ann, kind: 'offence' },
      { to: ben, kind: 'rejections', rejections: [] },
    ] as Reply[]
    const untold = new Untold()
    untold.note([judged(), judged({ update, before: vector, replies })], board)
    expect(untold.take()).toEqual({ vector, refusals: [replies[1]] })
    expect(untold.take()).toBeNull()
    // Not there, and nothing that could be.
    untold.note([judged({ update })], { doc: new Y.Doc() } as RoomDoc)
    untold.note([judged(), judged()], board)
    expect(untold.take()).toBeNull()
  })
})
