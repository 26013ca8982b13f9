import * as encoding from 'lib0/encoding'
import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import { CLOSE } from '@/lib/sync/close-codes'
import { FRAME, writeClock } from '@/lib/sync/frames'
import { MemoryStore } from '@/server/storage/memory-store'
import { NotStored } from '@/server/sync/not-stored'
import { frame, storedBoard, syncDesk } from './sync-desk'

describe('a turn', () => {
  it('[S7] shows an edit to others after it is stored, in one message per receiver and turn', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    const b = desk.phone('mechanic', 'bea')
    const before = b.updates.length
    a.set('notes', 'n1:text', 'one')
    a.set('notes', 'n2:text', 'two')
    b.set('notes', 'n3:text', 'three')
    expect(b.get('notes', 'n1:text')).toBeUndefined()
    desk.endTurn()
    expect(b.updates.length - before).toBe(1)
    expect(desk.store.load('meeting-m1').updates.length).toBe(1)
    expect(b.board()).toEqual({ notes: { 'n1:text': 'one', 'n2:text': 'two', 'n3:text': 'three' } })
    expect(a.board()).toEqual(b.board())
    expect(storedBoard(desk.store)).toEqual(b.board())
  })

  it('[S7] rooms of one turn share one commit', () => {
    let commits = 0
    const desk = syncDesk({ store: new MemoryStore(() => void commits++) })
    const a = desk.phone('manager', 'ann')
    const b = desk.phone('manager', 'ann', 'kit')
    commits = 0
    a.set('notes', 'n1:text', 'one')
    b.set('cars', 'c1:driver', 'dan')
    desk.endTurn()
    expect(commits).toBe(1)
    expect(storedBoard(desk.store, 'kit')).toEqual({ cars: { 'c1:driver': 'dan' } })
  })

  it('[S8] acknowledges a barrier only after the turn that stores what came before it', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    a.set('notes', 'n1:text', 'one')
    a.barrier()
    expect(a.acked).toBe(0)
    desk.endTurn()
    expect(a.acked).toBe(1)
    expect(storedBoard(desk.store)).toEqual({ notes: { 'n1:text': 'one' } })
  })

  it('[S8] a barrier before the answer to the server’s question waits for that answer', () => {
    const desk = syncDesk()
    const doc = new Y.Doc()
    doc.getMap('notes').set('n1:text', 'from earlier')
    const a = desk.phone('manager', 'ann')
    a.disconnect()
    // The same phone on a line that delivers its barrier first: the answer comes when the phone reads again.
    a.reading = false
    a.connect()
    a.barrier()
    desk.endTurn()
    expect(a.acked).toBe(0)
    a.reading = true
    const e = encoding.createEncoder()
    encoding.writeVarUint8Array(e, Y.encodeStateAsUpdate(doc))
    a.send(
      frame(FRAME.sync, (x) => [
        encoding.writeVarUint(x, 1),
        encoding.writeUint8Array(x, encoding.toUint8Array(e)),
      ]),
    )
    desk.endTurn()
    expect(a.acked).toBe(1)
    expect(storedBoard(desk.store)).toEqual({ notes: { 'n1:text': 'from earlier' } })
  })

  it('[S8] after a refused update no barrier is answered until the server has everything', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    const sent: Uint8Array[] = []
    a.online = false
    a.doc.on('update', (u: Uint8Array) => sent.push(u))
    a.set('notes', 'n1:text', 'one')
    a.set('notes', 'n2:text', 'two')
    a.sendUpdate(sent[1]!) // the first is lost: a gap
    a.barrier()
    // The refusal comes with a question, whose answer holds both; only then the acknowledgement.
    desk.endTurn()
    expect(a.rejections).toMatchObject([{ kind: 'gap' }])
    expect(a.acked).toBe(1)
    expect(storedBoard(desk.store)).toEqual({ notes: { 'n1:text': 'one', 'n2:text': 'two' } })
  })

  it('[S8] a phone whose frames are refused again and again is asked more slowly, but it is asked', () => {
    const desk = syncDesk({ limits: { offences: 1000 } })
    const a = desk.phone('manager', 'ann')
    for (let i = 0; i < 5; i++) {
      a.send(Uint8Array.of(0, 2, 200))
      desk.endTurn()
    }
    a.set('notes', 'n1:text', 'one')
    a.barrier()
    desk.endTurn()
    expect(a.acked).toBe(0)
    desk.timers.pass(5_000)
    expect(a.acked).toBe(1)
  })

  it('[S15] answers a clock question at once', () => {
    const desk = syncDesk()
    const a = desk.phone('guest')
    a.send(writeClock({ clientMs: 5, serverMs: null }))
    expect(a.clocks).toEqual([{ clientMs: 5, serverMs: desk.clock.ms }])
  })
})

/** A store whose disk fills up when told so. */
function failingStore() {
  const disk = { full: false, writes: 0 }
  const store = new MemoryStore(() => {
    disk.writes++
    if (disk.full) throw new Error('the disk is full')
  })
  return { disk, store }
}

describe('a disk that fails', () => {
  it('[S7] nothing is shown or acknowledged, the room is read-only with the reason, and it recovers by itself', async () => {
    const { disk, store } = failingStore()
    const desk = syncDesk({ store })
    const a = desk.phone('manager', 'ann')
    const b = desk.phone('mechanic', 'bea')
    a.set('notes', 'n1:text', 'one')
    a.barrier()
    desk.endTurn()
    disk.full = true
    a.set('notes', 'n1:text', 'two')
    a.barrier()
    const edit = desk.server.editAsServer(
      'meeting-m1',
      (d) => void d.getMap('notes').set('n9:text', 'server'),
    )
    const failed = expect(edit).rejects.toMatchObject({ name: 'NotStored', reason: 'the disk is full' })
    desk.endTurn()
    await failed
    expect(a.acked).toBe(1)
    expect(b.get('notes', 'n1:text')).toBe('one')
    expect(b.roomStates.at(-1)).toEqual({ state: 'read-only', reason: 'the disk is full' })
    expect(desk.server.stats().readOnly).toBe('the disk is full')
    // Somebody who joins now is shown what is on disk, and no more.
    const c = desk.phone('guest')
    expect(c.board()).toEqual({ notes: { 'n1:text': 'one' } })
    expect(c.roomStates.at(-1)?.state).toBe('read-only')
    b.set('notes', 'n2:text', 'waits')
    b.barrier()
    desk.endTurn()
    desk.timers.pass(4_000)
    expect(b.acked).toBe(0)
    await expect(desk.server.editAsServer('meeting-m1', () => undefined)).rejects.toBeInstanceOf(NotStored)
    disk.full = false
    desk.timers.pass(10_000)
    expect(a.roomStates.at(-1)).toEqual({ state: 'writable' })
    const all = { notes: { 'n1:text': 'two', 'n2:text': 'waits' } }
    expect([a, b, c].map((p) => p.board())).toEqual([all, all, all])
    expect(storedBoard(store)).toEqual(all)
    expect([a.acked, b.acked]).toEqual([2, 1])
    expect(a.rejections).toEqual([])
  })

  it('[S7] a value that could not be stored is gone after a restart, and its phone brings it back', () => {
    const { disk, store } = failingStore()
    const desk = syncDesk({ store })
    const a = desk.phone('manager', 'ann')
    disk.full = true
    a.set('notes', 'n1:text', 'one')
    desk.endTurn()
    disk.full = false
    desk.restart()
    expect(storedBoard(store)).toEqual({})
    a.connect()
    expect(storedBoard(store)).toEqual({ notes: { 'n1:text': 'one' } })
  })

  it('[S7] flapping between full and free loses nothing that was acknowledged', () => {
    const { disk, store } = failingStore()
    const desk = syncDesk({ store })
    const a = desk.phone('manager', 'ann')
    const acknowledged = new Map<number, number>()
    for (let i = 1; i <= 60; i++) {
      disk.full = i % 3 === 0
      a.set('notes', `n${i % 7}:text`, `v${i}`)
      acknowledged.set(a.barrier(), i)
      desk.endTurn()
      if (i % 5 === 0) desk.timers.pass(9_000)
      const stored = storedBoard(store)['notes'] ?? {}
      const last = acknowledged.get(a.acked) ?? 0
      for (let k = Math.max(1, last - 6); k <= last; k++)
        expect(Number(String(stored[`n${k % 7}:text`]).slice(1))).toBeGreaterThanOrEqual(k)
    }
    disk.full = false
    desk.timers.pass(20_000)
    expect(a.acked).toBe(60)
    expect(storedBoard(store)).toEqual(a.board())
  })
})

describe('slow phones', () => {
  it('[S10] past its byte budget a socket’s backlog is dropped and replaced by one merged resync', () => {
    const desk = syncDesk({ limits: { backlogBytes: 10_000 } })
    const a = desk.phone('manager', 'ann')
    const slow = desk.phone('mechanic', 'bea')
    slow.buffered = 9_990
    const before = slow.frames.length
    for (let i = 0; i < 50; i++) {
      a.set('notes', `n${i % 5}:text`, `value ${i}`)
      desk.endTurn()
    }
    expect(slow.frames.length).toBe(before)
    expect(slow.get('notes', 'n0:text')).toBeUndefined()
    slow.buffered = 0
    desk.timers.pass(200)
    expect(slow.resyncs).toBe(1)
    expect(slow.frames.slice(before).filter((f) => f !== 'awareness')).toEqual(['resync', 'sync1'])
    expect(slow.board()).toEqual(a.board())
    a.set('notes', 'n1:text', 'live again')
    desk.endTurn()
    expect(slow.get('notes', 'n1:text')).toBe('live again')
  })

  it('[S10] what a lagging phone is owed comes with its resync: refusals, and the newest acknowledgement', () => {
    const desk = syncDesk({ limits: { backlogBytes: 10_000 } })
    const a = desk.phone('manager', 'ann')
    const slow = desk.phone('mechanic', 'bea')
    slow.buffered = 9_990
    a.set('notes', 'n1:text', 'fills it')
    desk.endTurn()
    slow.set('people', 'p1:text', 'forbidden')
    slow.set('notes', 'n2:text', 'allowed')
    slow.barrier()
    slow.barrier()
    desk.endTurn()
    expect(slow.rejections.length + slow.acks.length).toBe(0)
    slow.buffered = 0
    desk.timers.pass(200)
    expect(slow.rejections.length).toBe(1)
    expect(slow.acks.map((k) => k.n)).toEqual([2])
    expect(slow.board()).toEqual(a.board())
  })

  it('[S10] refusals that nobody reads do not pile up either', () => {
    const desk = syncDesk({ limits: { backlogBytes: 10_000 } })
    const a = desk.phone('manager', 'ann')
    const slow = desk.phone('mechanic', 'bea')
    slow.buffered = 9_990
    for (let i = 0; i < 300; i++) {
      slow.set('people', `p${i}:text`, 'forbidden')
      desk.endTurn()
    }
    expect(slow.rejections.length).toBe(0)
    // A refusal dropped silently would pass for an acknowledgement: the phone is sent away and told everything when it comes back.
    expect(slow.closedWith?.code).toBe(CLOSE.tooSlow)
    slow.buffered = 0
    slow.connect()
    expect(new Set(slow.rejections.map((r) => r.path?.recordId)).size).toBe(300)
    expect(slow.board()).toEqual(a.board())
  })

  it('[S10] a phone that never catches up is closed with a code that lets it come back', () => {
    const desk = syncDesk({ limits: { backlogBytes: 10_000, slowCloseMs: 5_000 } })
    const a = desk.phone('manager', 'ann')
    const slow = desk.phone('mechanic', 'bea')
    slow.buffered = 20_000
    a.set('notes', 'n1:text', 'x')
    desk.endTurn()
    desk.timers.pass(6_000)
    expect(slow.closedWith?.code).toBe(CLOSE.tooSlow)
  })

  it('[S10] asking for the document again and again without reading does not pile it up', () => {
    const desk = syncDesk({ limits: { backlogBytes: 10_000 } })
    const a = desk.phone('manager', 'ann')
    for (let i = 0; i < 200; i++) a.set('notes', `n${i}:text`, 'some text to make it long')
    desk.endTurn()
    const slow = desk.phone('mechanic', 'bea')
    slow.buffered = 5_000
    const before = slow.frames.length
    for (let i = 0; i < 20; i++) slow.send(Uint8Array.of(0, 0, 1, 0))
    desk.endTurn()
    expect(slow.frames.length).toBe(before)
    slow.buffered = 0
    desk.timers.pass(200)
    expect(slow.frames.slice(before).filter((f) => f === 'sync1')).toEqual(['sync1'])
  })

  it('too many messages pause the socket instead of losing any', () => {
    const desk = syncDesk({ limits: { unitsPerSecond: 10, unitBurst: 120 } })
    const a = desk.phone('manager', 'ann')
    for (let i = 0; i < 130; i++) a.set('notes', `n${i}:text`, 'x')
    expect(a.paused).toBe(true)
    desk.endTurn()
    expect(Object.keys(storedBoard(desk.store)['notes']!).length).toBe(130)
    desk.timers.pass(30_000)
    expect(a.paused).toBe(false)
  })
})

describe('sessions', () => {
  it('[S11] a role change counts from the next frame on, and the phone is told', () => {
    const desk = syncDesk()
    const a = desk.phone('mechanic', 'ann')
    expect(a.sessionStates).toMatchObject([{ state: 'active', role: 'mechanic', personId: 'ann' }])
    a.set('notes', 'n1:text', 'as mechanic')
    desk.endTurn()
    desk.sessions.change(a.session.sessionId, { ...a.session, role: 'guest' })
    expect(a.sessionStates.at(-1)).toMatchObject({ state: 'active', role: 'guest' })
    a.set('notes', 'n1:text', 'as guest')
    desk.endTurn()
    expect(a.rejections).toMatchObject([{ kind: 'policy', attempted: 'as guest', restored: 'as mechanic' }])
    expect(a.get('notes', 'n1:text')).toBe('as mechanic')
    desk.sessions.change(a.session.sessionId, { ...a.session, role: 'manager' })
    a.set('cars', 'c1:driver', 'dan')
    desk.endTurn()
    expect(a.rejections.length).toBe(1)
  })

  it('[S11] a revoked session’s sockets close at once; what they sent in the same turn is not taken', () => {
    const desk = syncDesk()
    const a = desk.phone('mechanic', 'ann')
    const b = desk.phone('manager', 'bea')
    a.set('notes', 'n1:text', 'too late')
    desk.sessions.change(a.session.sessionId, null)
    desk.endTurn()
    expect(a.sessionStates.at(-1)?.state).toBe('revoked')
    expect(a.closedWith?.code).toBe(CLOSE.revoked)
    expect(b.board()).toEqual({})
    expect(storedBoard(desk.store)).toEqual({})
  })

  it('one session may not open sockets without end', () => {
    const desk = syncDesk({ limits: { socketsPerSession: 3 } })
    const a = desk.phone('manager', 'ann')
    const codes: number[] = []
    const ws = {
      send: () => undefined,
      broadcast: () => undefined,
      close: (code: number) => void codes.push(code),
      terminate: () => undefined,
      ping: () => undefined,
      pause: () => undefined,
      resume: () => undefined,
      bufferedAmount: 0,
    }
    const seats = [1, 2, 3].map(() => desk.server.connect(ws, a.session, 'kit'))
    expect(seats.map((seat) => seat !== null)).toEqual([true, true, false])
    expect(codes).toEqual([CLOSE.tooMany])
    seats[0]?.closed()
    expect(desk.server.connect(ws, a.session, 'kit')).not.toBeNull()
  })

  it('a half-open socket is dropped after three silent heartbeats, a silent but living one is kept', () => {
    const desk = syncDesk()
    const dead = desk.phone('mechanic', 'ann')
    const alive = desk.phone('mechanic', 'bea')
    dead.reading = false
    desk.timers.pass(45_000)
    expect(dead.terminated).toBe(true)
    expect(alive.terminated).toBe(false)
    expect(alive.pings).toBeGreaterThan(3)
    // The stock client gives up after 30 s without a message.
    expect(alive.frames.filter((f) => f === 'awareness').length).toBeGreaterThan(2)
    expect(desk.server.stats().sockets).toBe(1)
  })
})

const presence = (states: [client: number, clock: number, state: unknown][]) =>
  frame(FRAME.awareness, (e) => {
    const body = encoding.createEncoder()
    encoding.writeVarUint(body, states.length)
    for (const [client, clock, state] of states) {
      encoding.writeVarUint(body, client)
      encoding.writeVarUint(body, clock)
      encoding.writeVarString(body, JSON.stringify(state))
    }
    encoding.writeVarUint8Array(e, encoding.toUint8Array(body))
  })

describe('presence', () => {
  it('[S9] carries the session’s identity, whatever the client claims', () => {
    const desk = syncDesk()
    const a = desk.phone('driver', 'dan')
    const b = desk.phone('manager', 'ann')
    a.send(presence([[7, 1, { at: 'card', person: { personId: 'ann', role: 'manager' } }]]))
    desk.endTurn()
    const person = { personId: 'dan', name: 'dan', role: 'driver', deviceId: a.session.deviceId }
    expect(b.presence.get(7)).toEqual({ at: 'card', person })
    // Late joiners are told as well.
    expect(desk.phone('guest').presence.get(7)).toEqual({ at: 'card', person })
  })

  it('[S9] a socket speaks for one client only and can’t remove or replace others', () => {
    const desk = syncDesk()
    const a = desk.phone('driver', 'dan')
    const mallory = desk.phone('driver', 'mal')
    a.send(presence([[7, 1, { at: 'card' }]]))
    desk.endTurn()
    mallory.send(presence([[7, 9, null]]))
    mallory.send(
      presence([
        [8, 1, { at: 'order' }],
        [7, 9, { at: 'hijacked' }],
        [9, 1, { at: 'crowd' }],
      ]),
    )
    desk.endTurn()
    const late = desk.phone('guest')
    expect([...late.presence.keys()].sort()).toEqual([7, 8])
    expect(late.presence.get(7)).toMatchObject({ at: 'card', person: { personId: 'dan' } })
  })

  it('[S9] ends with the socket, and moves to a newer socket of the same session', () => {
    const desk = syncDesk()
    const a = desk.phone('driver', 'dan')
    const b = desk.phone('manager', 'ann')
    a.send(presence([[7, 1, { at: 'card' }]]))
    desk.endTurn()
    a.disconnect()
    expect(b.presence.get(7)).toBeNull()
    a.connect()
    a.send(presence([[7, 5, { at: 'back' }]]))
    desk.endTurn()
    expect(b.presence.get(7)).toMatchObject({ at: 'back' })
  })

  it('[S9] states that are too large, no objects, or not newer are dropped', () => {
    const desk = syncDesk({ limits: { presenceBytes: 100 } })
    const a = desk.phone('driver', 'dan')
    const b = desk.phone('manager', 'ann')
    a.send(presence([[7, 3, { at: 'card' }]]))
    a.send(presence([[7, 4, { at: 'x'.repeat(200) }]]))
    a.send(presence([[7, 5, 'text']]))
    a.send(presence([[7, 2, { at: 'old' }]]))
    desk.endTurn()
    expect(b.presence.get(7)).toMatchObject({ at: 'card' })
  })
})

describe('the life of a room', () => {
  it('[S14] a room is loaded before the first message of its first socket is handled', () => {
    const desk = syncDesk()
    desk.phone('manager', 'ann').set('notes', 'n1:text', 'before')
    desk.endTurn()
    desk.restart()
    const g = desk.phone('guest')
    g.set('notes', 'n1:text', 'over')
    desk.endTurn()
    expect(g.rejections[0]?.restored).toBe('before')
    expect(g.get('notes', 'n1:text')).toBe('before')
  })

  it('[S14] an idle room is unloaded with its snapshot written; work in hand keeps it', () => {
    const desk = syncDesk({ limits: { idleUnloadMs: 30_000 } })
    const a = desk.phone('manager', 'ann')
    for (let i = 0; i < 10; i++) {
      a.set('notes', 'n1:text', `v${i}`)
      desk.endTurn()
    }
    const late = a.doc
    late.getMap('notes').set('n2:text', 'sent just before leaving')
    // The socket closes in the turn in which its edit arrived: frames of a closed socket are not lost work, the phone still has them.
    a.disconnect()
    expect(desk.server.stats().rooms).toBe(2)
    desk.timers.pass(80_000)
    expect(desk.server.stats().rooms).toBe(0)
    expect(desk.store.pendingUpdates('meeting-m1')).toBe(0)
    expect(desk.store.load('meeting-m1').snapshot).not.toBeNull()
    a.connect()
    expect(storedBoard(desk.store)).toEqual({
      notes: { 'n1:text': 'v9', 'n2:text': 'sent just before leaving' },
    })
    const loaded = desk.phone('guest')
    expect(loaded.board()).toEqual(a.board())
  })

  it('[S14] the kit stays while a meeting is open', () => {
    const desk = syncDesk({ limits: { idleUnloadMs: 10_000 } })
    desk.phone('manager', 'ann')
    desk.timers.pass(100_000)
    expect(desk.server.stats().rooms).toBe(2)
  })

  it('[S14] what the server edits in a room that nobody has open is stored before it resolves', async () => {
    const desk = syncDesk()
    const edit = desk.server.editAsServer('kit', (d) => void d.getMap('cars').set('c1:driver', 'dan'))
    desk.endTurn()
    await edit
    expect(storedBoard(desk.store, 'kit')).toEqual({ cars: { 'c1:driver': 'dan' } })
    expect(await desk.server.readRoom('kit', (d) => d.getMap('cars').get('c1:driver'))).toBe('dan')
  })

  it('[S12] compaction keeps every value and every author, and may fail without harm', () => {
    let compactions = 0
    const disk = { full: false }
    class Store extends MemoryStore {
      override compact(room: string, snapshot: Uint8Array, covered: number) {
        if (disk.full) throw new Error('no space for a snapshot')
        compactions++
        super.compact(room, snapshot, covered)
      }
    }
    const desk = syncDesk({ store: new Store(), limits: { compactAfter: 20 } })
    const a = desk.phone('manager', 'ann')
    for (let i = 0; i < 100; i++) {
      disk.full = i > 30 && i < 60
      a.set('notes', `n${i % 9}:text`, `v${i}`)
      desk.endTurn()
    }
    expect(compactions).toBeGreaterThan(2)
    expect(desk.store.pendingUpdates('meeting-m1')).toBeLessThan(20)
    expect(desk.logged.some((l) => l.message.includes('snapshot'))).toBe(true)
    expect(storedBoard(desk.store)).toEqual(a.board())
    desk.restart()
    expect(desk.phone('guest').board()).toEqual(a.board())
  })

  it('closes sockets with a code that says to come back, after storing what has arrived', async () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    a.set('notes', 'n1:text', 'last')
    a.barrier()
    await desk.server.close()
    expect(a.acked).toBe(1)
    expect(a.closedWith?.code).toBe(CLOSE.shutdown)
    expect(storedBoard(desk.store)).toEqual({ notes: { 'n1:text': 'last' } })
  })
})
