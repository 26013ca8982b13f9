import { describe, expect, it } from 'vitest'
import { MemoryStore } from '@/server/storage/memory-store'
import { storedBoard, syncDesk } from './sync-desk'

const GONE = 'the folder is gone'

/** A store whose folder can be taken away. Whatever is written then is written, and found by nobody. */
function movableStore() {
  const folder = { gone: false, goesDuringWrite: false }
  const store: MemoryStore = new MemoryStore(
    () => {
      if (folder.goesDuringWrite) folder.gone = true
      else store.look()
    },
    'first',
    () => {
      if (folder.gone) throw new Error(GONE)
    },
  )
  return { folder, store }
}

describe('a data folder that is taken away', () => {
  it('[S26] nothing is acknowledged, not even what was stored before, until it is put back', () => {
    const { folder, store } = movableStore()
    const desk = syncDesk({ store })
    const [a, b] = [desk.phone('manager', 'ann'), desk.phone('mechanic', 'bea')]
    a.set('notes', 'n1:text', 'one')
    desk.endTurn()
    folder.gone = true
    a.barrier()
    desk.endTurn()
    expect(a.acked).toBe(0)
    expect(b.roomStates.at(-1)).toEqual({ state: 'read-only', reason: GONE })
    a.set('notes', 'n1:text', 'two')
    a.barrier()
    b.barrier()
    desk.endTurn()
    desk.timers.pass(9_000)
    expect([a.acked, b.acked, b.get('notes', 'n1:text')]).toEqual([0, 0, 'one'])
    folder.gone = false
    desk.timers.pass(9_000)
    expect([a.acked, b.acked]).toEqual([2, 1])
    expect([a, b].map((p) => p.roomStates.at(-1)?.state)).toEqual(['writable', 'writable'])
    expect(b.get('notes', 'n1:text')).toBe('two')
    expect(storedBoard(store)).toEqual(a.board())
  })

  it('[S26] is noticed within a second when nobody edits', () => {
    const { folder, store } = movableStore()
    const desk = syncDesk({ store })
    const a = desk.phone('guest')
    folder.gone = true
    desk.timers.pass(1_000)
    expect(a.roomStates.at(-1)).toEqual({ state: 'read-only', reason: GONE })
    expect(desk.server.stats().readOnly).toBe(GONE)
  })

  it('[S26] an edit whose commit it was taken away in is neither shown nor acknowledged before it is back, and then it is', () => {
    const { folder, store } = movableStore()
    const desk = syncDesk({ store })
    const [a, b] = [desk.phone('manager', 'ann'), desk.phone('driver', 'dora')]
    a.set('cars', 'c1:driver', 'eve')
    desk.endTurn()
    folder.goesDuringWrite = true
    a.set('notes', 'n1:text', 'one')
    b.set('cars', 'c1:weight', 900)
    const n = a.barrier()
    desk.endTurn()
    folder.goesDuringWrite = false
    expect(a.acked).toBe(0)
    expect(b.get('notes', 'n1:text')).toBeUndefined()
    expect(b.rejections).toEqual([])
    folder.gone = false
    desk.timers.pass(9_000)
    expect(a.acked).toBe(n)
    expect(b.get('notes', 'n1:text')).toBe('one')
    // The edit that was refused in the same turn is told as such.
    expect(b.rejections).toMatchObject([{ kind: 'policy', path: { recordId: 'c1', field: 'weight' } }])
    expect([a, b].map((p) => p.board())).toEqual([storedBoard(store), storedBoard(store)])
  })
})
