import type { BoardView } from './board-view'

const MINUTE = 60_000

/** What `order` counts from: the first day of the meeting, or else the earliest planned start. */
export const orderBase = (view: BoardView, starts: readonly number[] = []): number =>
  view.meeting.get('meeting')?.startsAt ??
  Math.min(
    ...starts,
    ...view.heats.live.flatMap((h) => (h.plannedStart === undefined ? [] : [h.plannedStart])),
    Number.MAX_SAFE_INTEGER,
  )

/** Where a heat stands in the day's list: minutes from `base` to its planned start. */
export const orderOfStart = (plannedStart: number, base: number): number =>
  Math.round(((plannedStart - base) / MINUTE) * 1000) / 1000
