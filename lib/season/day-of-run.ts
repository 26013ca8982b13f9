import type { SeasonRun } from './season-runs'

/** Until this hour of the night a run belongs to the evening before. Our choice. */
const NIGHT_ENDS_HOUR = 4

/**
 * A moment on the day that a run belongs to, ms since the epoch, in the device's zone: a night race stays on its evening, and none is before its
 * meeting's first day. Null where nobody dated it.
 */
export function dayOfRun({ at, day }: Pick<SeasonRun, 'at' | 'day'>): number | null {
  if (at === null) return day
  // By the clock on the wall: the night in which the clocks change has its hours too.
  const racing = new Date(at)
  racing.setHours(racing.getHours() - NIGHT_ENDS_HOUR)
  return Math.max(day ?? -Infinity, racing.getTime())
}

/** It started after midnight, and belongs to the evening before. */
export function isAfterMidnight(run: Pick<SeasonRun, 'at' | 'day'>): boolean {
  const day = dayOfRun(run)
  return run.at !== null && day !== null && day < run.at && dateOf(day) !== dateOf(run.at)
}

const dateOf = (at: number) => new Date(at).toDateString()
