import { describe, expect, it } from 'vitest'
import { MemoryStore } from '@/server/storage/memory-store'
import { NotStored } from '@/server/sync/not-stored'
import { storedBoard, syncDesk } from './sync-desk'

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
