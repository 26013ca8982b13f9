import { describe, expect, it } from 'vitest'
import { CLOSE } from '@/lib/sync/close-codes'
import { writeClock } from '@/lib/sync/frames'
import { storedBoard, syncDesk } from './sync-desk'

describe('a room', () => {
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
    expect(b.board()).toEqual({ notes: { 'n1:text': 'one', 'n2:text': 'two', 'n3:text': 'three' } })
    expect(a.board()).toEqual(b.board())
    expect(storedBoard(desk.store)).toEqual(b.board())
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

  it('[S15] answers a clock question at once', () => {
    const desk = syncDesk()
    const a = desk.phone('guest')
    a.send(writeClock({ clientMs: 5, serverMs: null }))
    expect(a.clocks).toEqual([{ clientMs: 5, serverMs: desk.clock.ms }])
  })

  it('closes sockets with a code that says to come back', async () => {
    const desk = syncDesk()
    const a = desk.phone('manager')
    await desk.server.close()
    expect(a.closedWith?.code).toBe(CLOSE.shutdown)
  })
})
