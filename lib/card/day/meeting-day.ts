import type { BoardView } from '../../board'
import { heatsInOrder } from './day-forecast'

/** Longer than any delay that a meeting survives, shorter than the night between two of its days. ms */
const APART_MS = 8 * 3_600_000

/**
 * Is the meeting's day over, or not yet here? A clock that counts minutes late says nothing then. Null on the day itself, and when no heat has
 * a time.
 */
export function meetingDay(view: BoardView, now: number): { when: 'past' | 'ahead'; at: number } | null {
  const times = heatsInOrder(view).flatMap((h) => h.finishedAt?.v ?? h.startedAt?.v ?? h.plannedStart ?? [])
  if (times.length === 0) return null
  const [first, last] = [Math.min(...times), Math.max(...times)]
  if (now - last > APART_MS) return { when: 'past', at: last }
  if (first - now > APART_MS) return { when: 'ahead', at: first }
  return null
}

/** When the day begins, as long as that is to come and no heat is stamped: until then the day is neither late nor early. Null from then on. */
export function firstNotDue(view: BoardView, now: number): number | null {
  const heats = heatsInOrder(view).filter((h) => !h.isBreak)
  const at = heats[0]?.plannedStart
  return at === undefined || now >= at || heats.some((h) => h.startedAt?.v) ? null : at
}
