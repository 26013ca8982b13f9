import type { SeasonRun } from './season-runs'

/** What runs are put together by. */
export const SEASON_SIDES = ['car', 'driver', 'track', 'surface', 'pack', 'tires', 'meeting'] as const
export type SeasonSide = (typeof SEASON_SIDES)[number]

const OF_SIDE: Readonly<Record<SeasonSide, (run: SeasonRun) => string | null>> = {
  car: (r) => r.carId,
  driver: (r) => r.driverId,
  track: (r) => r.trackId,
  surface: (r) => r.surface,
  pack: (r) => r.packId,
  tires: (r) => r.tireSetId,
  meeting: (r) => r.meetingId,
}

/** The id that a run has on a side; null where nobody said. */
export const sideOf = (run: SeasonRun, side: SeasonSide): string | null => OF_SIDE[side](run)

/** Ids by side: runs that have all of them. */
export type SeasonFilter = Readonly<Partial<Record<SeasonSide, string>>>

export const isIn = (run: SeasonRun, filter: SeasonFilter): boolean => {
  for (const side in filter)
    if (
      filter[side as SeasonSide] !== undefined &&
      OF_SIDE[side as SeasonSide](run) !== filter[side as SeasonSide]
    )
      return false
  return true
}

/** The newest first; what nobody dated last. */
export const newestFirst = (a: SeasonRun, b: SeasonRun): number =>
  (b.at ?? b.day ?? -Infinity) - (a.at ?? a.day ?? -Infinity) ||
  (keyOfRun(a) < keyOfRun(b) ? -1 : keyOfRun(a) > keyOfRun(b) ? 1 : 0)

/** One run of one meeting: run ids repeat where a meeting was copied. */
export const keyOfRun = (run: Pick<SeasonRun, 'meetingId' | 'runId'>): string =>
  `${run.meetingId}/${run.runId}`
