import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import { CLOSE } from '@/lib/sync/close-codes'
import { FRAME } from '@/lib/sync/frames'
import { frame, storedBoard, syncDesk, updateOf } from './sync-desk'

describe('a frame that is not well-formed', () => {
  it('[S2] random bytes, truncated and unknown messages change nothing and get a typed reason', () => {
    const desk = syncDesk({ limits: { offences: 1000 } })
    const a = desk.phone('manager', 'ann')
    a.set('notes', 'n1:text', 'kept')
    desk.endTurn()
    const whole = frame(FRAME.sync, () => undefined)
    const good = updateOf((d) => d.getMap('notes').set('n2:text', 'x'))
    for (const bytes of [
      Uint8Array.of(),
      Uint8Array.of(0),
      Uint8Array.of(0, 9),
      Uint8Array.of(0, 2, 200),
      Uint8Array.of(77, 1, 2),
      Uint8Array.of(1, 5, 255, 255),
      Uint8Array.of(FRAME.barrier, 255),
      Uint8Array.of(FRAME.clock, 1, 2),
      whole,
    ])
      a.send(bytes)
    for (let cut = 1; cut < good.length; cut++) a.sendUpdate(good.subarray(0, cut))
    desk.endTurn()
    expect(storedBoard(desk.store)).toEqual({ notes: { 'n1:text': 'kept' } })
    expect(a.rejections.length).toBeGreaterThan(good.length)
    expect(new Set(a.rejections.map((r) => r.kind))).toEqual(new Set(['malformed']))
    expect(desk.logged.filter((l) => l.level === 'error')).toEqual([])
  })

  it('[S2] an update over the limit is refused with a resync; as the answer to the server’s question it may be larger', () => {
    const desk = syncDesk({ limits: { frameBytes: 2_000, answerBytes: 20_000 } })
    const a = desk.phone('manager', 'ann')
    a.doc.transact(() => {
      for (let i = 0; i < 100; i++) a.set('notes', `n${i}:text`, 'thirty characters of some text')
    })
    desk.endTurn()
    expect(a.rejections).toMatchObject([{ kind: 'too-large', path: null }])
    expect(Object.keys(storedBoard(desk.store)['notes'] ?? {}).length).toBe(100)
  })

  it('[S25] what was entered offline comes as one answer of megabytes, and is taken', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    desk.endTurn()
    a.disconnect()
    for (let i = 0; i < 1_600; i++) a.set('notes', `n${i}:shape`, { text: 'x'.repeat(1_000) })
    a.connect()
    a.barrier()
    for (let n = 0; n < 20 && a.acked === 0; n++) desk.timers.pass(1_000)
    expect(a.rejections).toEqual([])
    expect(a.acked).toBe(1)
    expect(Object.keys(storedBoard(desk.store)['notes'] ?? {}).length).toBe(1_600)
  })

  it('[S25] a driver who stores too much in an hour is told in words, keeps the socket, and is saved when it may be', () => {
    const desk = syncDesk()
    const dan = desk.phone('driver', 'dan')
    const bea = desk.phone('mechanic', 'bea')
    desk.endTurn()
    for (let i = 0; i < 45; i++) {
      dan.set('notes', `n${i}:shape`, { text: 'x'.repeat(200_000) })
      dan.barrier()
      desk.timers.pass(1_000)
    }
    expect(dan.rejections[0]).toMatchObject({ kind: 'too-large', path: null })
    expect(dan.rejections[0]?.reason).toMatch(/^You have saved 8 MiB within the hour, the limit for a driver/)
    expect(dan.closedWith).toBeNull()
    expect(dan.acked).toBeGreaterThan(38)
    expect(dan.acked).toBeLessThan(45)
    bea.set('notes', 'bea:text', 'beside it')
    bea.barrier()
    desk.endTurn()
    expect(bea.acked).toBe(1)
    for (let n = 0; n < 30 && dan.acked < 45; n++) desk.timers.pass(60_000)
    expect(dan.acked).toBe(45)
    expect(Object.keys(storedBoard(desk.store)['notes'] ?? {}).length).toBe(46)
  })

  it('[S2] an update with a causal gap leaves nothing pending, and the resync brings what was missing', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    const b = desk.phone('mechanic', 'bea')
    const updates: Uint8Array[] = []
    a.online = false
    a.doc.on('update', (u: Uint8Array) => updates.push(u))
    a.set('notes', 'n1:text', 'first')
    a.set('notes', 'n1:text', 'second')
    a.sendUpdate(updates[1]!)
    expect(b.board()).toEqual({})
    desk.endTurn()
    expect(a.rejections).toMatchObject([{ kind: 'gap' }])
    expect(b.board()).toEqual({ notes: { 'n1:text': 'second' } })
    expect(storedBoard(desk.store)).toEqual(b.board())
  })

  it('[S2] deletions of what the server never saw, skipped parts and impossible lengths are refused', () => {
    const desk = syncDesk({ limits: { offences: 1000 } })
    const a = desk.phone('manager', 'ann')
    const zero = [0] // no structs
    const oneClient = (structs: number[], ds: number[] = zero) =>
      Uint8Array.from([1, 1, 7, 0, ...structs, ...ds])
    const frames = {
      'deletes the unknown': Uint8Array.from([0, 1, 9, 1, 0, 5]),
      skip: oneClient([10, 3]),
      'empty part': oneClient([0, 0]),
      'endless part': oneClient([0, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x0f]),
      'points at itself': Uint8Array.from([1, 1, 7, 0, 0x88, 7, 0, 1, 119, 1, 97, 0]),
      'points into the future': Uint8Array.from([1, 1, 7, 0, 0x88, 7, 9, 1, 119, 1, 97, 0]),
      'not in a row': Uint8Array.from([2, 1, 7, 0, 0, 1, 1, 7, 3, 0, 1, 0]),
      'foreign root': updateOf((d) => d.getMap('__proto__').set('a:text', 1)),
      'long key': updateOf((d) => d.getMap('notes').set('k'.repeat(300), 1)),
    }
    for (const update of Object.values(frames)) a.sendUpdate(update)
    desk.endTurn()
    expect(a.rejections.map((r) => r.kind)).toEqual([
      'gap',
      'gap',
      'malformed',
      'malformed',
      'gap',
      'gap',
      'malformed',
      'malformed',
      'malformed',
    ])
    expect(storedBoard(desk.store)).toEqual({})
    expect(desk.logged.filter((l) => l.level === 'error')).toEqual([])
  })

  it('[S2] values nested without end are refused before anybody walks them', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    let deep: unknown = 1
    for (let i = 0; i < 3_000; i++) deep = [deep]
    a.sendUpdate(updateOf((d) => d.getMap('notes').set('n1:shape', deep)))
    desk.endTurn()
    expect(a.rejections).toMatchObject([{ kind: 'malformed' }])
    expect(storedBoard(desk.store)).toEqual({})
  })

  it('[S2] a repeat offender’s socket is closed, an honest phone’s goes on', () => {
    const desk = syncDesk({ limits: { offences: 4 } })
    const a = desk.phone('mechanic', 'mal')
    const b = desk.phone('mechanic', 'bea')
    for (let i = 0; i < 10; i++) a.send(Uint8Array.of(0, 2, 200))
    expect(a.closedWith?.code).toBe(CLOSE.offender)
    expect(a.rejections.length).toBe(4)
    b.set('notes', 'n1:text', 'still here')
    desk.endTurn()
    expect(storedBoard(desk.store)).toEqual({ notes: { 'n1:text': 'still here' } })
  })
})

describe('authorship', () => {
  it('[S3] structs under another person’s clientID are refused and do not block their owner', () => {
    const desk = syncDesk()
    const a = desk.phone('mechanic', 'ann')
    const mallory = desk.phone('mechanic', 'mal')
    a.set('notes', 'n1:text', 'one')
    desk.endTurn()
    const forged = new Y.Doc()
    Y.applyUpdate(forged, Y.encodeStateAsUpdate(mallory.doc))
    forged.clientID = a.doc.clientID
    const since = Y.encodeStateVector(forged)
    forged.getMap('notes').set('n1:text', 'forged')
    mallory.sendUpdate(Y.encodeStateAsUpdate(forged, since))
    desk.endTurn()
    expect(mallory.rejections).toMatchObject([{ kind: 'authorship' }])
    a.set('notes', 'n1:text', 'two')
    desk.endTurn()
    expect(storedBoard(desk.store)).toEqual({ notes: { 'n1:text': 'two' } })
    expect(mallory.board()).toEqual(a.board())
  })

  it('[S3] holds after a restart, also for the server’s own clientIDs', async () => {
    const desk = syncDesk()
    const a = desk.phone('mechanic', 'ann')
    a.set('notes', 'n1:text', 'one')
    const edit = desk.server.editAsServer(
      'meeting-m1',
      (d) => void d.getMap('notes').set('n2:text', 'by the server'),
    )
    desk.endTurn()
    await edit
    const serverClient = [...desk.store.load('meeting-m1').authors].find(([, who]) =>
      who.startsWith('server'),
    )![0]
    desk.restart()
    const mallory = desk.phone('mechanic', 'mal')
    for (const client of [a.doc.clientID, serverClient]) {
      const forged = new Y.Doc()
      Y.applyUpdate(forged, Y.encodeStateAsUpdate(mallory.doc))
      forged.clientID = client
      const since = Y.encodeStateVector(forged)
      forged.getMap('notes').set('n3:text', 'forged')
      mallory.sendUpdate(Y.encodeStateAsUpdate(forged, since))
    }
    desk.endTurn()
    expect(mallory.rejections.map((r) => r.kind)).toEqual(['authorship', 'authorship'])
  })

  it('[S3] one person may go on under the same clientID from another socket', () => {
    const desk = syncDesk()
    const a = desk.phone('mechanic', 'ann')
    a.set('notes', 'n1:text', 'one')
    desk.endTurn()
    a.disconnect()
    const again = desk.phone('mechanic', 'ann', 'meeting-m1', a.doc)
    again.set('notes', 'n1:text', 'two')
    desk.endTurn()
    expect(again.rejections).toEqual([])
    expect(storedBoard(desk.store)).toEqual({ notes: { 'n1:text': 'two' } })
  })
})
