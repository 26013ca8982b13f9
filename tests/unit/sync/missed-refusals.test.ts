import { describe, expect, it } from 'vitest'
import { MemoryStore } from '@/server/storage/memory-store'
import { storedBoard, syncDesk } from './sync-desk'

describe('a refusal that goes missing', () => {
  it.each([false, true])(
    '[S6] a refusal that never arrived is told when the phone comes back (after a restart of the server: %s)',
    (restarted) => {
      const desk = syncDesk()
      const m = desk.phone('mechanic', 'bea')
      m.set('notes', 'n1:text', 'fine')
      desk.endTurn()
      m.reading = false
      m.set('people', 'p1:text', 'forbidden')
      desk.endTurn()
      m.disconnect()
      m.reading = true
      expect(m.rejections).toEqual([])
      if (restarted) desk.restart()
      m.connect()
      expect(m.rejections).toMatchObject([
        {
          path: { collection: 'people', recordId: 'p1', field: 'text' },
          attempted: 'forbidden',
          restored: null,
        },
      ])
      expect(m.rejections[0]?.at).toBe(desk.history().at(-1)?.at)
      expect(m.board()).toEqual({ notes: { 'n1:text': 'fine' } })
      m.disconnect()
      m.connect()
      // A page that starts from nothing has missed nothing.
      const page = desk.phone('mechanic', 'bea')
      expect([m.rejections.length, page.rejections.length]).toEqual([1, 0])
    },
  )

  it('[S6] a refusal that goes to a dead socket in the very turn in which the new one answers is told to the new one', () => {
    for (const audited of [300, 0]) {
      const desk = syncDesk({ limits: { refusedAuditPerMinute: audited } })
      const m = desk.phone('mechanic', 'bea')
      m.set('notes', 'n1:text', 'fine')
      desk.endTurn()
      m.set('people', 'p1:text', 'forbidden')
      m.breakLine()
      m.barrier() // goes nowhere
      const told: string[] = []
      m.doc.on('update', (_u: Uint8Array, origin: unknown) => {
        if (origin === m) told.push(`value after ${m.rejections.length} refusals, ${m.acks.length} answers`)
      })
      m.connect()
      expect(m.rejections).toMatchObject([
        {
          path: { collection: 'people', recordId: 'p1', field: 'text' },
          attempted: 'forbidden',
          restored: null,
        },
      ])
      expect(told).toEqual(['value after 1 refusals, 0 answers'])
      expect(m.board()).toEqual({ notes: { 'n1:text': 'fine' } })
      m.barrier()
      desk.endTurn()
      expect([m.acks.length, m.rejections.length]).toEqual([1, 1])
    }
  })

  it('[S6] a refusal over the new socket itself is told once, though both arrive in one turn', () => {
    const desk = syncDesk()
    const m = desk.phone('mechanic', 'bea')
    m.disconnect()
    m.set('people', 'p1:text', 'one')
    m.connect()
    expect(m.rejections.map((r) => r.attempted)).toEqual(['one'])
    m.set('people', 'p1:text', 'two')
    m.breakLine()
    m.set('people', 'p1:text', 'three')
    m.connect()
    expect(m.rejections.map((r) => r.attempted)).toEqual(['one', 'three'])
    expect(m.board()).toEqual({})
  })

  it('[S6] [S7] a missed refusal is told although the turn that would have told it could not be stored', () => {
    let full = false
    const desk = syncDesk({
      store: new MemoryStore(() => {
        if (full) throw new Error('disk full')
      }),
    })
    const m = desk.phone('mechanic', 'bea')
    m.set('people', 'p1:text', 'forbidden')
    m.breakLine()
    desk.endTurn()
    full = true
    m.set('notes', 'n1:text', 'fine')
    m.connect()
    // Its edit can't be judged, so it is not sent the document, against which the edit might lose before its value was seen.
    expect([m.get('people', 'p1:text'), m.rejections.length]).toEqual(['forbidden', 0])
    full = false
    desk.timers.pass(5_000)
    expect(m.rejections.map((r) => r.attempted)).toEqual(['forbidden'])
    expect(m.board()).toEqual({ notes: { 'n1:text': 'fine' } })
    expect(storedBoard(desk.store)).toEqual(m.board())
  })

  it('[S6] refusals too many for the audit trail are told all the same when the phone comes back', () => {
    const desk = syncDesk({ limits: { refusedAuditPerMinute: 2 } })
    const boss = desk.phone('manager', 'ann')
    boss.set('people', 'p0:text', 'before')
    desk.endTurn()
    const m = desk.phone('mechanic', 'bea')
    m.set('notes', 'n1:text', 'stands')
    desk.endTurn()
    boss.set('notes', 'n1:text', 'overwritten')
    m.breakLine()
    desk.endTurn()
    m.connect()
    m.reading = false
    m.doc.transact(() => {
      for (let i = 3; i >= 0; i--) m.set('people', `p${i}:text`, `forbidden ${i}`)
    })
    desk.endTurn()
    m.disconnect()
    m.reading = true
    m.connect()
    expect(m.rejections.map((r) => [r.path?.recordId, r.attempted, r.restored])).toEqual([
      ['p3', 'forbidden 3', null],
      ['p2', 'forbidden 2', null],
      ['p1', null, null],
      ['p0', null, 'before'],
    ])
    expect(m.board()).toEqual({ notes: { 'n1:text': 'overwritten' }, people: { 'p0:text': 'before' } })
  })

  it('[S6] the document, which shows what was taken back, waits for the phone’s answer: a line may break in between', () => {
    const desk = syncDesk()
    const m = desk.phone('mechanic', 'bea')
    m.set('notes', 'n1:text', 'fine').set('people', 'p1:text', 'forbidden')
    m.breakLine()
    desk.endTurn()
    for (let i = 0; i < 3; i++) {
      m.answering = false
      m.connect()
      desk.timers.pass(1_000)
      expect([m.get('people', 'p1:text'), m.rejections.length]).toEqual(['forbidden', 0])
      m.breakLine()
    }
    m.answering = true
    m.connect()
    expect(m.rejections.map((r) => r.attempted)).toEqual(['forbidden'])
    expect(m.board()).toEqual({ notes: { 'n1:text': 'fine' } })
    // Who has nothing has missed nothing, and a question after the first one is answered as it comes.
    const page = desk.phone('mechanic', 'bea')
    page.answering = false
    page.connect()
    expect(page.board()).toEqual(m.board())
    m.answering = false
    const before = m.frames.length
    m.send(Uint8Array.of(0, 0, 1, 0))
    desk.endTurn()
    expect(m.frames.slice(before)).toEqual(['sync1'])
  })

  it('[S6] [S2] an answer that is refused brings the document, and what was missed, all the same', () => {
    const limits = { frameBytes: 900, answerBytes: 900, offences: 100 }
    const desk = syncDesk({ limits })
    const m = desk.phone('mechanic', 'bea')
    m.set('people', 'p1:text', 'forbidden')
    m.breakLine()
    desk.endTurn()
    for (let i = 0; i < 40; i++) m.set('notes', `n${i}:text`, 'more than may come at once')
    m.connect()
    expect(m.rejections.map((r) => r.kind)).toContain('too-large')
    expect(m.rejections.filter((r) => r.path).map((r) => r.attempted)).toEqual(['forbidden'])
    expect(m.get('people', 'p1:text')).toBeUndefined()
    m.barrier()
    desk.endTurn()
    expect(m.acked).toBe(0)
  })

  it('[S6] [S7] while nothing can be stored, a phone that comes back without news is told and sent the document', () => {
    let full = false
    const desk = syncDesk({
      store: new MemoryStore(() => {
        if (full) throw new Error('disk full')
      }),
    })
    const boss = desk.phone('manager', 'ann')
    const m = desk.phone('mechanic', 'bea')
    m.set('people', 'p1:text', 'forbidden')
    m.breakLine()
    desk.endTurn()
    full = true
    boss.set('notes', 'n1:text', 'one')
    desk.endTurn()
    expect(boss.roomStates.at(-1)?.state).toBe('read-only')
    m.connect()
    m.barrier()
    desk.endTurn()
    expect(m.rejections.map((r) => r.attempted)).toEqual(['forbidden'])
    expect([m.board(), m.acked]).toEqual([{}, 0])
    full = false
    desk.timers.pass(5_000)
    expect(storedBoard(desk.store)).toEqual({ notes: { 'n1:text': 'one' } })
    expect([m.board(), m.acked, m.rejections.length]).toEqual([storedBoard(desk.store), 1, 1])
  })

  it('[S6] [S10] also over a line that is slow from the start', () => {
    const desk = syncDesk({ limits: { backlogBytes: 10_000 } })
    const m = desk.phone('mechanic', 'bea')
    m.set('notes', 'n1:text', 'fine').set('people', 'p1:text', 'forbidden')
    m.breakLine()
    desk.endTurn()
    m.buffered = 20_000
    m.connect()
    const seen: number[] = []
    m.doc.on('update', () => void seen.push(m.rejections.length))
    m.buffered = 0
    desk.timers.pass(200)
    expect(m.rejections.map((r) => r.attempted)).toEqual(['forbidden'])
    expect(seen).toEqual([1])
    expect(m.board()).toEqual({ notes: { 'n1:text': 'fine' } })
  })
})
