import { describe, expect, it } from 'vitest'
import { CLOSE } from '@/lib/sync/close-codes'
import { storedBoard, syncDesk } from './sync-desk'

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
