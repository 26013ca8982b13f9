import { median } from '../setup-math'
import { sideOf, type SeasonSide } from './season-filter'
import type { SeasonRun } from './season-runs'

/** Runs that have one thing in common. What nobody measured is null. */
export interface SeasonGroup {
  /** The id on the side asked for; null: nobody said. */
  id: string | null
  runs: number
  meetings: number
  /** Only where all are on one track: lap times of two tracks can't be compared. s */
  bestS: number | null
  medianS: number | null
  /** Median of the next. */
  pacePercent: number | null
  putBackMah: number | null
  canC: number | null
  /** How each run's mean lap compares (`paceAmong`), percent, in the order of the runs handed in. */
  percents: readonly number[]
}

/** What lap times can be compared with: the same track, and cars with the same wheels driven. */
export type PaceOf = (run: SeasonRun) => number | null

/**
 * How a run's mean lap compares with the median of all runs handed in that are on its track with its kind of car, in percent. Null without a mean lap or
 * a track, and where it would be compared with itself alone.
 */
export function paceAmong(
  runs: readonly SeasonRun[],
  driveOf: (carId: string) => string | undefined,
): PaceOf {
  const drives = new Map<string, string>()
  const placeOf = ({ trackId, carId }: SeasonRun) => {
    if (trackId === null) return null
    let drive = drives.get(carId)
    if (drive === undefined) drives.set(carId, (drive = driveOf(carId) ?? ''))
    return `${trackId} ${drive}`
  }
  const means = new Map<string, number[]>()
  for (const r of runs) {
    const place = placeOf(r)
    if (place === null || r.meanS === null) continue
    const known = means.get(place)
    if (known) known.push(r.meanS)
    else means.set(place, [r.meanS])
  }
  const medians = new Map<string, number | null>()
  for (const [place, seconds] of means) medians.set(place, seconds.length > 1 ? median(seconds) : null)
  return (r) => {
    const place = placeOf(r)
    const usual = place === null ? null : (medians.get(place) ?? null)
    return usual === null || r.meanS === null ? null : (r.meanS / usual - 1) * 100
  }
}

/** Runs by what they have in common; the biggest group first, what nobody said last. */
export function seasonGroups(runs: readonly SeasonRun[], side: SeasonSide, pace: PaceOf): SeasonGroup[] {
  const parts = new Map<string | null, SeasonRun[]>()
  for (const run of runs) {
    const id = sideOf(run, side)
    const known = parts.get(id)
    if (known) known.push(run)
    else parts.set(id, [run])
  }
  return [...parts]
    .map(([id, of]) => groupOf(id, of, pace))
    .sort(
      (a, b) =>
        Number(a.id === null) - Number(b.id === null) ||
        b.runs - a.runs ||
        ((a.id ?? '') < (b.id ?? '') ? -1 : 1),
    )
}

function groupOf(id: string | null, runs: readonly SeasonRun[], pace: PaceOf): SeasonGroup {
  const tracks = new Set(runs.map((r) => r.trackId))
  const isOneTrack = tracks.size === 1 && !tracks.has(null)
  const bests = runs.flatMap((r) => r.bestS ?? [])
  const percents = runs.flatMap((run) => pace(run) ?? [])
  return {
    id,
    runs: runs.length,
    meetings: new Set(runs.map((r) => r.meetingId)).size,
    bestS: isOneTrack && bests.length > 0 ? Math.min(...bests) : null,
    medianS: isOneTrack ? medianOf(runs.flatMap((r) => r.meanS ?? [])) : null,
    pacePercent: medianOf(percents),
    putBackMah: medianOf(runs.flatMap((r) => r.chargeBackMah ?? [])),
    canC: medianOf(runs.flatMap((r) => r.canC ?? [])),
    percents,
  }
}

const medianOf = (values: readonly number[]): number | null => (values.length > 0 ? median(values) : null)
