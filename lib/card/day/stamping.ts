import type { BoardView, Heat } from '../../board'
import { heatsInOrder, raceSecondsOf } from './day-forecast'

export interface StampEvent {
  kind: 'start' | 'finish'
  heat: Heat
}

/** Which stamp the day waits for. */
export interface Stamping {
  /** On the track by the stamps. */
  running: Heat | null
  /** The heat that starts next. */
  next: Heat | null
  /** The one event that the big key is for; null when the order is through. */
  expected: StampEvent | null
  /** The latest heat that has a stamp. */
  last: Heat | null
  /** Stamps that were never given and whose moment is past: never offered as something that happens now. Latest first. */
  missing: StampEvent[]
}

/** A heat that has not been stamped out this long after its race clock ran out is over, and the stamp was missed. Common practice, no source. */
const FORGOTTEN_S = 600

/**
 * What the stamps given so far leave to be stamped. A day goes forward: the latest started heat in the order is the last one that can be on the
 * track, and what lies before it is past, whatever was stamped of it.
 *
 * @param now ms since the epoch
 */
export function stampingOf(view: BoardView, now: number): Stamping {
  const heats = heatsInOrder(view).filter((h) => !h.isBreak)
  const at = heats.findLastIndex((h) => h.startedAt?.v)
  const last = heats[at] ?? null
  const isOver = (h: Heat) =>
    !!h.finishedAt?.v || now > (h.startedAt?.v ?? 0) + (raceSecondsOf(view, h) + FORGOTTEN_S) * 1000
  const running = last && !isOver(last) ? last : null
  const next = heats[at + 1] ?? null
  const missing = heats
    .slice(0, at + 1)
    .filter((h) => h !== running)
    .flatMap((heat): StampEvent[] =>
      !heat.startedAt?.v ? [{ kind: 'start', heat }] : heat.finishedAt?.v ? [] : [{ kind: 'finish', heat }],
    )
    .reverse()
  const expected: StampEvent | null = running
    ? { kind: 'finish', heat: running }
    : next && { kind: 'start', heat: next }
  return { running, next, expected, last, missing }
}

/** A thumb comes this much before the clock at most, s. Common practice, no source. */
const EARLY_S = 10

/** Has the heat run too short for its race clock to have run out? Then somebody stopped it, or the stamp is a slip. */
export function isEarlyFinish(view: BoardView, heat: Heat, at: number): boolean {
  const startedAt = heat.startedAt?.v
  return startedAt !== undefined && startedAt !== null
    ? at < startedAt + (raceSecondsOf(view, heat) - EARLY_S) * 1000
    : false
}
