import { writeSyncStep2 } from 'y-protocols/sync'
import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import { FRAME } from '@/lib/sync/frames'
import { frame, storedBoard } from './sync-desk'
import { underWayDesk } from './under-way-desk'

describe('[P4] a commit under way, and sockets', () => {
  it('[S8] is asked for by the server, so that a phone whose answer comes late brings it when it fails', () => {
    const { store, desk: d, a, b, write, answer, answerAll } = underWayDesk()
    write(a, 1, 'two')
    // The server asks at once after what it can't read, and gets what it lacks.
    a.send(Uint8Array.of(99))
    d.endTurn()
    store.failsWith = new Error('the disk is full')
    answer()
    expect(a.acked).toBe(1)
    store.failsWith = null
    d.timers.pass(10_000)
    answerAll()
    expect([a.acked, b.get('notes', 'n1:text')]).toEqual([2, 'two'])
  })

  it('[S8] leaves a phone in doubt whose frame was refused meanwhile', () => {
    const { a, desk: d, write, answer, answerAll } = underWayDesk()
    a.answering = false
    write(a, 1, 'two')
    a.send(Uint8Array.of(99))
    a.barrier()
    answer()
    answerAll()
    expect(a.acked).toBe(2)
    a.answering = true
    a.send(frame(FRAME.sync, (e) => writeSyncStep2(e, a.doc)))
    d.endTurn()
    answerAll()
    expect(a.acked).toBe(3)
  })

  it('[S8] leaves it so where the commit under way takes in the answer to the question before', () => {
    const { a, desk: d, write, answerAll } = underWayDesk()
    a.send(Uint8Array.of(99))
    write(a, 1, 'two')
    a.answering = false
    a.send(Uint8Array.of(99))
    const last = a.barrier()
    d.endTurn()
    answerAll()
    expect(a.acked).toBe(last - 1)
  })

  it('[S8] clears the doubt for what is judged on top of it', () => {
    const { a, desk: d, store, write, answer } = underWayDesk()
    a.send(Uint8Array.of(99))
    write(a, 1, 'two')
    const last = a.barrier()
    d.endTurn()
    expect([store.underWay, a.acked]).toEqual([1, 1])
    answer()
    expect(a.acked).toBe(last)
  })

  it('[S8] leaves a phone in doubt whose frame was refused while the rest of its answer was put off', () => {
    const { store, desk: d, b, answerAll } = underWayDesk({ structsPerTurn: 2, frameBytes: 2_000 })
    const doc = new Y.Doc()
    for (let n = 2; n < 8; n++) doc.getMap('notes').set(`n${n}:text`, `note ${n}`)
    const c = d.phone('mechanic', 'cyd', 'meeting-m1', doc)
    expect(store.underWay).toBe(1)
    c.answering = false
    c.set('notes', 'n9:text', 'x'.repeat(3_000))
    c.barrier()
    d.endTurn()
    answerAll()
    expect(b.get('notes', 'n7:text')).toBe('note 7')
    expect([c.acked, c.rejections.map((r) => r.kind)]).toEqual([0, ['too-large']])
  })

  it('[S25] bears nothing while a part of it is still to be judged', () => {
    const { a, b, desk: d, store, write, answer, answerAll } = underWayDesk({ structsPerTurn: 2 })
    a.doc.transact(() => {
      for (let n = 2; n < 8; n++) a.set('notes', `n${n}:text`, `note ${n}`)
    })
    const first = a.barrier()
    d.endTurn()
    write(a, 9, 'after')
    // It is not handed in on top of a part, and so waits for the rest.
    answer()
    expect([a.acked, Object.keys(storedBoard(store.disk)['notes'] ?? {})]).toEqual([
      1,
      ['n1:text', 'n2:text', 'n3:text'],
    ])
    answerAll()
    expect(a.acked).toBe(first + 1)
    expect(a.rejections).toEqual([])
    expect(b.board()).toEqual(a.board())
    expect(storedBoard(store.disk)).toEqual(a.board())
  })

  it('[S10] reaches a phone that fell behind before it was told', () => {
    const { b, desk: d, a, write, answer } = underWayDesk({ backlogBytes: 400 })
    write(a, 1, 'two')
    b.buffered = 399
    // What goes to one phone alone falls behind between turns.
    b.send(Uint8Array.of(99))
    answer()
    b.buffered = 0
    d.timers.pass(1_000)
    expect(b.resyncs).toBe(1)
    expect(b.get('notes', 'n1:text')).toBe('two')
  })

  it('[S10] is waited for before a phone that has caught up is sent what it lacks', () => {
    const { store, b, desk: d, a, write } = underWayDesk({ backlogBytes: 400 })
    b.buffered = 399
    b.send(Uint8Array.of(99))
    write(a, 1, 'two')
    b.buffered = 0
    store.failsWith = new Error('the disk is full')
    d.timers.pass(1_000)
    expect(store.underWay).toBe(0)
    expect(b.resyncs).toBe(1)
    expect(b.get('notes', 'n1:text')).toBe('one')
  })
})
