import * as encoding from 'lib0/encoding'
import * as syncProtocol from 'y-protocols/sync'
import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import type { Role } from '@/lib/core/role'
import { CLOSE } from '@/lib/sync/close-codes'
import { FRAME, writeClock } from '@/lib/sync/frames'
import { MemoryStore } from '@/server/storage/memory-store'
import { smallRules } from './small-rules'
import { frame, storedBoard, syncDesk } from './sync-desk'

/** A line on which nothing comes back. */
const deafSocket = {
  send: () => undefined,
  broadcast: () => undefined,
  terminate: () => undefined,
  ping: () => undefined,
  pause: () => undefined,
  resume: () => undefined,
  bufferedAmount: 0,
}

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

  it('[S8] an answer that is still waiting for its turn makes nothing up for a frame that was refused after it', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    a.answering = false
    a.set('notes', 'n1:text', 'one')
    const answer = () => a.send(frame(FRAME.sync, (x) => syncProtocol.writeSyncStep2(x, a.doc)))
    answer()
    a.send(Uint8Array.of(0, 2, 200))
    a.barrier()
    desk.endTurn()
    expect(a.rejections).toMatchObject([{ kind: 'malformed' }])
    expect(a.acked).toBe(0)
    answer()
    desk.endTurn()
    expect(a.acked).toBe(1)
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

  it('[S11] a revoked session’s sockets close at once; what they sent in the same turn is refused', () => {
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
    const ws = { ...deafSocket, close: (code: number) => void codes.push(code) }
    const seats = [1, 2, 3].map(() => desk.server.connect(ws, a.session, 'kit'))
    expect(seats.map((seat) => seat !== null)).toEqual([true, true, false])
    expect(codes).toEqual([CLOSE.tooMany])
    seats[0]?.closed()
    expect(desk.server.connect(ws, a.session, 'kit')).not.toBeNull()
  })

  it('[S25] a guest code can’t take the crew’s seats, and who is turned away hears whose limit it was', () => {
    const limits = {
      sockets: 20,
      guestSockets: 8,
      socketsPerGuestCode: 6,
      socketsPerGuest: 2,
      socketsPerPerson: 3,
    }
    const desk = syncDesk({ limits })
    const told: string[] = []
    const knock = (role: Role, personId: string, invitationId: string, sessionId = personId) => {
      const ws = { ...deafSocket, close: (_: number, reason: string) => void told.push(reason) }
      const session = { sessionId, personId, name: personId, role, deviceId: sessionId, invitationId }
      return desk.server.connect(ws, session, 'kit')
    }
    const taken = (seats: unknown[]) => seats.filter((s) => s !== null).length
    const crowd = (code: string) =>
      [0, 1, 2, 3, 4].flatMap((n) => [1, 2, 3].map(() => knock('guest', code + n, code)))
    expect(taken(crowd('a'))).toBe(6)
    expect(taken(crowd('b'))).toBe(2)
    expect(new Set(told)).toEqual(
      new Set([
        'This phone already has its 2 open pages. Close one.',
        'The phones of this guest code have all its pages open already. Ask for another code.',
        'All seats for guests are taken. Try again when somebody has left.',
      ]),
    )
    expect(told.every((reason) => Buffer.byteLength(reason) <= 123)).toBe(true)
    // Drivers fill up what is not kept for mechanics and managers.
    expect(taken(Array.from({ length: 30 }, (_, n) => knock('driver', `d${n}`, 'c')))).toBe(8)
    expect(told.at(-1)).toBe('All seats for a driver are taken. Try again when somebody has left.')
    expect(taken(Array.from({ length: 30 }, (_, n) => knock('mechanic', `m${n}`, 'd')))).toBe(2)
    const pages = ['one', 'two', 'three', 'four'].map((device) => knock('manager', 'ann', 'e', device))
    expect(taken(pages)).toBe(2)
    pages[0]?.closed()
    expect(knock('manager', 'bob', 'e')).not.toBeNull()
  })

  it('[S24] a meeting that the kit does not know has no room, in memory or on disk, until it is there', async () => {
    const desk = syncDesk({
      rules: {
        ...smallRules,
        isMeeting: (read, id) => read.field('kit', 'cars', id, 'driver') !== undefined,
      },
    })
    const a = desk.phone('manager', 'ann', 'kit')
    for (let i = 0; i < 50; i++)
      expect(desk.phone('manager', 'ann', `meeting-x${i}`).closedWith?.code).toBe(CLOSE.noMeeting)
    expect(desk.server.stats()).toMatchObject({ rooms: 1, sockets: 1 })
    expect(desk.store.rooms()).toEqual([])
    // A phone that made the meeting while it was away: its kit goes first, and the room is there when it knocks again.
    const made = desk.phone('manager', 'ann', 'meeting-m1')
    made.set('notes', 'n1:text', 'made offline')
    a.set('cars', 'm1:driver', 'somebody')
    desk.endTurn()
    made.connect()
    desk.endTurn()
    expect(made.closedWith).toBeNull()
    expect(storedBoard(desk.store)).toEqual({ notes: { 'n1:text': 'made offline' } })
    expect(await desk.server.readRoom('meeting-x1', (doc) => doc.store.clients.size)).toBe(0)
    expect(desk.server.stats().rooms).toBe(2)
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
