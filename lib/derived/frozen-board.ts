import type { BoardView } from '../board'
import { MEMORY, type Board, type Memory } from './derived'

/** The board as it was in one moment, ms since the epoch: for whoever looks once, as the server's calendar does. */
export function frozenBoard(view: BoardView, at: number): Board {
  const known = new Map<object, Map<string, unknown>>()
  const memory: Memory = {
    recall<T>(fact: object, key: string, make: () => T): T {
      let values = known.get(fact)
      if (!values) known.set(fact, (values = new Map()))
      if (!values.has(key)) values.set(key, make())
      return values.get(key) as T
    },
  }
  return { ...view, now: (stepMs) => Math.floor(at / stepMs) * stepMs, [MEMORY]: memory }
}
