import { describe, expect, it } from 'vitest'
import { CLOSE } from '@/lib/sync/close-codes'
import { RATES } from '@/server/sync/budgets'
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

  it('[S25] whoever has used up their share of the server’s time is read later; nothing is lost, nobody else waits', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    const b = desk.phone('mechanic', 'bea')
    desk.budgets.charge({ session: a.session }, RATES.manager.person.burst + 800)
    a.set('notes', 'n1:text', 'early')
    a.set('notes', 'n2:text', 'second')
    b.set('notes', 'n3:text', 'mine')
    desk.endTurn()
    expect(a.paused).toBe(true)
    expect(storedBoard(desk.store)).toEqual({ notes: { 'n3:text': 'mine' } })
    desk.timers.pass(2_100)
    expect(a.paused).toBe(false)
    expect(storedBoard(desk.store)['notes']).toMatchObject({ 'n1:text': 'early', 'n2:text': 'second' })
  })

  it('[S25] a debt outlives the socket, and another device does not help', () => {
    const desk = syncDesk()
    const a = desk.phone('mechanic', 'mal')
    desk.budgets.charge({ session: a.session }, RATES.mechanic.person.burst + 500)
    a.disconnect()
    const again = desk.phone('mechanic', 'mal')
    again.set('notes', 'n1:text', 'more')
    desk.endTurn()
    expect(again.paused).toBe(true)
    expect(storedBoard(desk.store)).toEqual({})
  })

  it('[S25] a phone that is not read because of its share is refused for dead', () => {
    const desk = syncDesk()
    const a = desk.phone('guest', 'gus')
    desk.budgets.charge({ session: a.session }, RATES.guest.person.burst + 2_500)
    a.send(Uint8Array.of(3))
    a.reading = false
    desk.timers.pass(90_000)
    expect(a.terminated).toBe(false)
  })
})
