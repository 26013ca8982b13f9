import { hereAs } from '../core/zone'
import type { SeasonRun } from './season-runs'

/** Until this hour of the night a run belongs to the evening before. Our choice. */
const NIGHT_ENDS_HOUR = 4

type RunThen = Pick<SeasonRun, 'at' | 'day' | 'zone'>

/**
 * A moment on the day that a run belongs to, ms since the epoch, by this device's clock: a night race stays on its evening, and none is before its
 * meeting's first day. It is the day at the track, wherever it is looked at, if the meeting has its zone. Null where nobody dated it.
 */
export function dayOfRun({ at, day, zone }: RunThen): number | null {
  const first = day === null ? null : hereAs(day, zone)
  if (at === null) return first
  // By the clock on the wall: the night in which the clocks change has its hours too.
  const racing = new Date(hereAs(at, zone))
  racing.setHours(racing.getHours() - NIGHT_ENDS_HOUR)
  return Math.max(first ?? -Infinity, racing.getTime())
}

/** It started after midnight, and belongs to the evening before. */
export function isAfterMidnight(run: RunThen): boolean {
  const day = dayOfRun(run)
  if (run.at === null || day === null) return false
  const at = hereAs(run.at, run.zone)
  return day < at && dateOf(day) !== dateOf(at)
}

const dateOf = (at: number) => new Date(at).toDateString()
