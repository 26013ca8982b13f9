import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import { writeBarrier, writeRoomState } from '@/lib/sync/frames'
import { MemoryStore } from '@/server/storage/memory-store'
import { BroadcastMessage } from '@/server/sync/broadcast-message'
import { Delivery } from '@/server/sync/delivery'
import { Presence } from '@/server/sync/presence'
import { RoomDoc } from '@/server/sync/room-doc'
import { writeUpdateFrame } from '@/server/sync/sync-frames'
import type { SyncSocket } from '@/server/sync/sync-socket'
import { handSocket, partsOf, updateIn } from './hand-socket'
import { ROOM } from './guard-bench'

const EVERYTHING = Uint8Array.of(0)

function delivering() {
  const board = new RoomDoc(new MemoryStore(), ROOM, ['notes'])
  const lagging: SyncSocket[] = []
  const delivery = new Delivery({
    presence: new Presence(4096),
    board: () => board,
    vector: () => Y.encodeStateVector(board.doc),
    lag: (socket) => void lagging.push(socket),
    steady: () => 7_000,
  })
  const write = (n: number) => board.transact(() => void board.map('notes')!.set(`n${n}:text`, `note ${n}`))!
  write(1)
  return {
    board,
    delivery,
    lagging,
    write,
    message: (n: number) => new BroadcastMessage(writeUpdateFrame(write(n))),
  }
}
const small = { backlogBytes: 100 }

/** The board as the frame of an answer makes it on a page that has `has`. */
function pageWith(frame: Uint8Array, has?: Uint8Array) {
  const doc = new Y.Doc()
  if (has) Y.applyUpdate(doc, has)
  Y.applyUpdate(doc, updateIn(frame))
  return doc.getMap('notes').toJSON()
}

describe('[S10] a question', () => {
  it('makes a socket live: it is answered, and gets what comes after', () => {
    const { delivery, message } = delivering()
    const { socket, line, took } = handSocket()
    delivery.update(socket, message(2))
    expect(line.sent).toEqual([])
    delivery.answer(socket, EVERYTHING)
    expect(pageWith(line.sent[0]!)).toEqual({ 'n1:text': 'note 1', 'n2:text': 'note 2' })
    delivery.update(socket, message(3))
    expect(took()).toEqual(['sync1', 'sync2'])
  })

  it('of a lagging socket is answered with its resync, by what it asked last', () => {
    const { board, delivery, lagging, write } = delivering()
    const { socket, line, took } = handSocket({ limits: small })
    delivery.answer(socket, EVERYTHING)
    took()
    line.buffered = 200
    delivery.fallBehind(socket)
    expect(lagging).toEqual([socket])
    const has = Y.encodeStateAsUpdate(board.doc)
    const asked = Y.encodeStateVector(board.doc)
    write(2)
    socket.control(writeRoomState({ state: 'writable' }))
    delivery.answer(socket, asked)
    line.buffered = 0
    delivery.answer(socket, asked)
    expect([line.sent, lagging]).toEqual([[], [socket]])
    expect(socket.state).toMatchObject({ state: 'lagging', since: 7_000 })
    delivery.resync(socket)
    expect(pageWith(line.sent[2]!, has)).toEqual({ 'n1:text': 'note 1', 'n2:text': 'note 2' })
    expect(partsOf(updateIn(line.sent[2]!))).toBe(1)
    expect(took()).toEqual(['resync', 'roomState', 'sync1', 'awareness'])
  })

  it('of a socket that has gone is not answered', () => {
    const { delivery, lagging, message } = delivering()
    const { socket, line } = handSocket()
    socket.state = { state: 'closed' }
    delivery.answer(socket, EVERYTHING)
    delivery.update(socket, message(2))
    delivery.resync(socket)
    expect([line.sent, lagging, socket.state]).toEqual([[], [], { state: 'closed' }])
  })

  it('that does not decode makes nobody live', () => {
    const { delivery } = delivering()
    const { socket } = handSocket()
    expect(() => delivery.answer(socket, Uint8Array.of(5, 1))).toThrow()
    expect(socket.state).toEqual({ state: 'joining' })
  })

  it('whose answer does not fit is answered when there is room, by what it said', () => {
    const { board, delivery, lagging, write } = delivering()
    const { socket, line } = handSocket({ limits: small })
    const has = Y.encodeStateAsUpdate(board.doc)
    const vector = Y.encodeStateVector(board.doc)
    for (let n = 2; n < 9; n++) write(n)
    line.buffered = 50
    delivery.answer(socket, vector)
    expect([line.sent, lagging]).toEqual([[], [socket]])
    line.buffered = 0
    delivery.resync(socket)
    expect(Object.keys(pageWith(line.sent[1]!, has)).length).toBe(8)
    expect(partsOf(updateIn(line.sent[1]!))).toBe(7)
  })
})

describe('[S10] a socket that falls behind', () => {
  it('before its first question is sent the whole board, however long ago that began', () => {
    const { delivery } = delivering()
    const { socket, line } = handSocket()
    delivery.fallBehind(socket)
    delivery.resync(socket)
    expect(pageWith(line.sent[1]!)).toEqual({ 'n1:text': 'note 1' })
  })

  it('between turns has everything up to then, and is sent no more than what came later', () => {
    const { delivery, write } = delivering()
    const { socket, line, took } = handSocket()
    delivery.answer(socket, EVERYTHING)
    took()
    // An earlier turn has been sent around to the end.
    delivery.sending(
      () => EVERYTHING,
      () => undefined,
    )
    delivery.fallBehind(socket)
    write(2)
    delivery.resync(socket)
    expect(partsOf(updateIn(line.sent[1]!))).toBe(1)
  })

  it('and so it is after a turn that could not be sent around to the end', () => {
    const { delivery } = delivering()
    const { socket, line, took } = handSocket()
    delivery.answer(socket, EVERYTHING)
    took()
    const failing = () => {
      throw new Error('a line broke')
    }
    expect(() => delivery.sending(() => EVERYTHING, failing)).toThrow('a line broke')
    delivery.fallBehind(socket)
    delivery.resync(socket)
    expect(partsOf(updateIn(line.sent[1]!))).toBe(0)
  })

  it('while a turn is sent around gets that turn with its resync', () => {
    const { board, delivery, lagging, message } = delivering()
    const { socket, line, took } = handSocket({ limits: small })
    delivery.answer(socket, EVERYTHING)
    const has = updateIn(line.sent[0]!)
    took()
    const before = Y.encodeStateVector(board.doc)
    const news = message(2)
    line.buffered = 99
    delivery.sending(
      () => before,
      () => delivery.update(socket, news),
    )
    expect([line.sent, lagging]).toEqual([[], [socket]])
    // Nor does it get what comes while it lags.
    line.buffered = 0
    delivery.update(socket, message(3))
    expect(line.sent).toEqual([])
    delivery.resync(socket)
    expect(pageWith(line.sent[1]!, has)).toEqual({
      'n1:text': 'note 1',
      'n2:text': 'note 2',
      'n3:text': 'note 3',
    })
    delivery.update(socket, message(4))
    expect(took()).toEqual(['resync', 'sync1', 'awareness', 'sync2'])
  })

  it('is told what it is owed before the board, and what is saved after it', () => {
    const { delivery } = delivering()
    const { socket, took } = handSocket()
    delivery.answer(socket, EVERYTHING)
    took()
    delivery.fallBehind(socket)
    socket.control(writeRoomState({ state: 'writable' }))
    socket.acknowledge(writeBarrier({ epoch: 1, n: 3 }))
    socket.acknowledge(writeBarrier({ epoch: 1, n: 4 }))
    delivery.resync(socket)
    expect(took()).toEqual(['resync', 'roomState', 'sync1', 'barrier 4', 'awareness'])
    // All is told once.
    delivery.resync(socket)
    expect(took()).toEqual([])
    delivery.fallBehind(socket)
    delivery.resync(socket)
    expect(took()).toEqual(['resync', 'sync1', 'awareness'])
  })

  it('[S6] and has not answered the server’s question is not sent the board before it has', () => {
    const { delivery, message } = delivering()
    const { socket, took } = handSocket()
    socket.handshake = { state: 'unanswered', asked: EVERYTHING, held: null }
    delivery.fallBehind(socket)
    delivery.resync(socket)
    delivery.update(socket, message(2))
    expect(took()).toEqual(['resync', 'awareness'])
    delivery.answer(socket, EVERYTHING)
    expect(took()).toEqual(['sync1'])
  })
})
