import { expect } from 'vitest'
import { LateStore } from './late-store'
import { syncDesk, type Phone } from './sync-desk'

/** Two phones and an edit of the first that is stored; what comes next takes its time. */
export function underWayDesk(limits = {}) {
  const store = new LateStore()
  const desk = syncDesk({ store, limits })
  const a = desk.phone('manager', 'ann')
  const b = desk.phone('mechanic', 'bea')
  a.set('notes', 'n1:text', 'one')
  a.barrier()
  desk.endTurn()
  store.answer()
  desk.endTurn()
  expect([a.acked, b.get('notes', 'n1:text')]).toEqual([1, 'one'])
  const write = (phone: Phone, n: number, text: string) => {
    phone.set('notes', `n${n}:text`, text)
    phone.barrier()
    desk.endTurn()
  }
  const answer = () => {
    store.answer()
    desk.endTurn()
  }
  const answerAll = () => {
    for (let n = 0; store.underWay > 0; n++) {
      if (n > 20) throw new Error('commits do not end')
      answer()
    }
  }
  return { store, desk, a, b, write, answer, answerAll }
}
