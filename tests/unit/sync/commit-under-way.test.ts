import { describe, expect, it } from 'vitest'
import { CLOSE } from '@/lib/sync/close-codes'
import type { BoardReader } from '@/server/sync/guard-rules'
import { LateStore } from './late-store'
import { smallRules } from './small-rules'
import { storedBoard, syncDesk, type Phone } from './sync-desk'
import { underWayDesk } from './under-way-desk'

describe('[P4] a commit under way', () => {
  it('is told when it is on disk, and so is what was judged on top of it', () => {
    const { store, a, b, write, answer } = underWayDesk()
    write(a, 1, 'two')
    expect([store.begun, a.acked, b.get('notes', 'n1:text')]).toEqual([2, 1, 'one'])
    write(a, 1, 'three')
    expect([store.begun, store.underWay]).toEqual([2, 1])
    answer()
    expect([store.begun, a.acked, b.get('notes', 'n1:text')]).toEqual([3, 2, 'two'])
    expect(storedBoard(store.disk)).toEqual({ notes: { 'n1:text': 'two' } })
    answer()
    expect([a.acked, b.get('notes', 'n1:text')]).toEqual([3, 'three'])
    expect([store.underWay, storedBoard(store.disk)]).toEqual([0, { notes: { 'n1:text': 'three' } }])
  })

  it('takes one more turn on top; what comes later is gathered, and nothing of it is left', () => {
    const { store, a, b, write, answer } = underWayDesk()
    for (const [i, text] of ['two', 'three', 'four', 'five'].entries()) write(i % 2 ? b : a, i + 2, text)
    answer()
    answer()
    answer()
    expect([store.begun, store.underWay]).toEqual([4, 0])
    expect([a.acked, b.acked]).toEqual([3, 2])
    expect(a.board()).toEqual(b.board())
    expect(a.board()).toEqual(storedBoard(store.disk))
    expect(Object.keys(storedBoard(store.disk)['notes'] ?? {})).toHaveLength(5)
  })

  it('takes what was judged on top along when it fails; both are stored once it can be written again', () => {
    const { store, desk: d, a, b, write, answer, answerAll } = underWayDesk()
    write(a, 1, 'two')
    write(b, 2, 'on top')
    store.failsWith = new Error('the disk is full')
    answer()
    expect([store.begun, a.acked, b.acked]).toEqual([2, 1, 0])
    expect(b.get('notes', 'n1:text')).toBe('one')
    expect(a.get('notes', 'n2:text')).toBeUndefined()
    expect(b.roomStates.at(-1)).toEqual({ state: 'read-only', reason: 'the disk is full' })
    expect(d.phone('guest').board()).toEqual({ notes: { 'n1:text': 'one' } })
    store.failsWith = null
    d.timers.pass(10_000)
    answerAll()
    const all = { notes: { 'n1:text': 'two', 'n2:text': 'on top' } }
    expect([a.board(), b.board(), storedBoard(store.disk)]).toEqual([all, all, all])
    expect([a.acked, b.acked]).toEqual([2, 1])
    expect(d.history().map((e) => [e.recordId, e.after])).toEqual([
      ['n1', 'one'],
      ['n1', 'two'],
      ['n2', 'on top'],
    ])
  })

  it('is shown to nobody who comes meanwhile: their question waits for it', () => {
    const { store, desk: d, a, write, answer } = underWayDesk()
    write(a, 1, 'two')
    const c = d.phone('guest')
    expect(c.board()).toEqual({})
    expect(store.underWay).toBe(1)
    store.failsWith = new Error('the disk is full')
    answer()
    expect(c.board()).toEqual({ notes: { 'n1:text': 'one' } })
  })

  it('nor is what the answer to a question must not hold: nothing is judged on top of a turn that answers one', () => {
    const { store, desk: d, a, write, answer } = underWayDesk()
    write(a, 1, 'two')
    const c = d.phone('mechanic', 'cyd')
    write(a, 1, 'three')
    answer()
    // The question and that edit are one turn, and this comes after it.
    write(a, 1, 'four')
    answer()
    expect([store.underWay, c.get('notes', 'n1:text')]).toEqual([1, 'three'])
    store.failsWith = new Error('the disk is full')
    answer()
    expect(c.get('notes', 'n1:text')).toBe('three')
  })

  it('is waited for by whoever reads the room, and by the end', async () => {
    const { store, desk: d, a, write } = underWayDesk()
    write(a, 1, 'two')
    write(a, 2, 'on top')
    const read = d.server.readRoom('meeting-m1', (doc) => doc.getMap('notes').toJSON())
    expect(store.underWay).toBe(0)
    expect(await read).toEqual({ 'n1:text': 'two', 'n2:text': 'on top' })
    write(a, 3, 'last')
    const closed = d.server.close()
    expect(a.acked).toBe(4)
    expect(storedBoard(store.disk)['notes']).toMatchObject({ 'n3:text': 'last' })
    await closed
  })

  it('comes before an edit of the server, which is done when it is on disk itself', async () => {
    const { store, desk: d, a, b, write, answer } = underWayDesk()
    write(a, 1, 'two')
    let isDone = false
    const seen: unknown[] = []
    const edit = d.server
      .editAsServer('meeting-m1', (doc) => {
        seen.push(doc.getMap('notes').get('n1:text'))
        doc.getMap('notes').set('n9:text', 'server')
      })
      .then(() => void (isDone = true))
    d.endTurn()
    expect(seen).toEqual([])
    answer()
    await Promise.resolve()
    expect([seen, isDone, b.get('notes', 'n9:text')]).toEqual([['two'], false, undefined])
    answer()
    await edit
    expect([store.underWay, b.get('notes', 'n9:text')]).toEqual([0, 'server'])
  })

  it('tells whoever waits for it, also where the room can’t be read again meanwhile', async () => {
    const store = new LateStore()
    let isBroken = false
    const d = syncDesk({
      store,
      rules: {
        ...smallRules,
        checkField: (...field) => {
          if (!isBroken) return smallRules.checkField(...field)
          store.isUnreadable = true
          throw new Error('a bug')
        },
      },
    })
    const a = d.phone('manager', 'ann')
    const edit = d.server.editAsServer(
      'meeting-m1',
      (doc) => void doc.getMap('notes').set('n9:text', 'server'),
    )
    const failed = expect(edit).rejects.toThrow('it is full')
    d.endTurn()
    isBroken = true
    a.set('notes', 'n1:text', 'on top')
    d.endTurn()
    expect(a.closedWith?.code).toBe(1011)
    store.failsWith = new Error('it is full')
    store.answer()
    await failed
  })

  it('stays in the document when a bug meets an edit on top of it', () => {
    const store = new LateStore()
    let isBroken = false
    const d = syncDesk({
      store,
      limits: { compactAfter: 3 },
      rules: {
        ...smallRules,
        checkField: (...field) => {
          if (isBroken) throw new Error('a bug')
          return smallRules.checkField(...field)
        },
      },
    })
    const a = d.phone('manager', 'ann')
    const b = d.phone('mechanic', 'bea')
    const write = (phone: Phone, key: string) => {
      phone.set('notes', `${key}:text`, key)
      phone.barrier()
      d.endTurn()
    }
    const answerAll = () => {
      for (let n = 0; n < 6 && store.underWay > 0; n++) {
        store.answer()
        d.endTurn()
      }
    }
    write(a, 'n1')
    isBroken = true
    write(b, 'n2')
    isBroken = false
    expect([store.begun, a.acked]).toEqual([1, 0])
    expect(d.logged.map((l) => l.message)).toEqual(['an update broke the guard and was left out'])
    answerAll()
    expect(b.get('notes', 'n1:text')).toBe('n1')
    const guest = d.phone('guest')
    expect(guest.board()).toEqual(storedBoard(store.disk))
    expect(guest.get('notes', 'n1:text')).toBe('n1')
    for (const key of ['n3', 'n4', 'n5']) {
      write(a, key)
      answerAll()
    }
    expect(a.acked).toBe(4)
    expect(guest.board()).toEqual(storedBoard(store.disk))
    // The snapshot covers as many updates as there are.
    expect(d.logged).toHaveLength(1)
    expect(store.disk.load('meeting-m1').snapshot).not.toBeNull()
  })

  it('lets a snapshot that is due be made, however busy the room is', () => {
    const { store, a, b, write, answer, answerAll } = underWayDesk({ compactAfter: 4 })
    for (let n = 2; n < 24; n++) {
      write(n % 2 ? a : b, n, `note ${n}`)
      if (n > 2) answer()
      // A snapshot holds nothing that is judged on top of what it covers.
      expect(Object.keys(storedBoard(store.disk)['notes'] ?? {})).toHaveLength(n - 1)
      expect(store.pendingUpdates('meeting-m1')).toBeLessThan(7)
    }
    answerAll()
    expect(a.board()).toEqual(storedBoard(store.disk))
    expect(b.board()).toEqual(storedBoard(store.disk))
  })

  it('of the kit is not overtaken: a meeting is judged by the newest kit', () => {
    const { store, desk: d, a, write, answer, answerAll } = underWayDesk()
    const kit = d.phone('manager', 'ann', 'kit')
    kit.set('cars', 'c1:text', 'one')
    d.endTurn()
    // A question waits in the kit, so nothing of the kit is judged on top, and nothing else is.
    d.phone('mechanic', 'cyd', 'kit')
    kit.set('cars', 'c1:text', 'two')
    write(a, 1, 'two')
    expect(store.begun).toBe(2)
    answer()
    expect(store.batches.at(-1)?.updates.map((u) => u.room)).toEqual(['kit', 'meeting-m1'])
    answerAll()
    expect(a.acked).toBe(2)
  })

  it('of the kit opens no meeting before it is on disk', () => {
    const store = new LateStore()
    const isMeeting = (read: BoardReader, id: string) => read.field('kit', 'cars', id, 'text') !== undefined
    const d = syncDesk({ store, rules: { ...smallRules, isMeeting } })
    const kit = d.phone('manager', 'ann', 'kit')
    kit.set('cars', 'm9:text', 'a meeting')
    d.endTurn()
    expect(store.underWay).toBe(1)
    store.failsWith = new Error('the disk is full')
    expect(d.phone('mechanic', 'bea', 'meeting-m9').closedWith?.code).toBe(CLOSE.noMeeting)
    store.failsWith = null
    d.timers.pass(10_000)
    expect(store.underWay).toBe(1)
    expect(d.phone('mechanic', 'bea', 'meeting-m9').closedWith).toBeNull()
  })

  it('says itself what became of it, also where the database seems gone meanwhile', () => {
    const { store, desk: d, a, b, write, answer } = underWayDesk()
    write(a, 1, 'two')
    store.isGone = true
    d.timers.pass(5_000)
    expect(a.roomStates.at(-1)).toEqual({ state: 'writable' })
    answer()
    expect([a.acked, b.get('notes', 'n1:text')]).toEqual([2, 'two'])
    d.timers.pass(1_500)
    expect(a.roomStates.at(-1)).toEqual({ state: 'read-only', reason: 'it is gone' })
  })
})
