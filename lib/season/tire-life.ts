import type { TireSet } from '../board'
import { robustTrend, type Trend } from './robust-trend'
import type { SeasonRun } from './season-runs'

export interface TireLife {
  /** Runs that the board's records know, the first first. */
  runs: readonly SeasonRun[]
  /** Those that are over: what its count should hold at least. */
  over: number
  /** On the track by their results, s. */
  seconds: number
  /** Diameter after so many runs, mm. */
  points: readonly { runs: number; diameterMm: number; at: number | null }[]
  /** mm of diameter per run: negative while it wears. Null on fewer than four measured diameters. */
  wear: Trend | null
  /** The newest diameter, measured after a run or entered in the kit. */
  diameterMm: number | null
  /** Travel of one turn of the wheel by that diameter, mm: pi times it, for a wheel that rolls without slip. */
  circumferenceMm: number | null
  /** By how much the travel per motor turn is shorter than at the first measured diameter, whatever the gearing, %. */
  shorterPercent: number | null
}

/** What a tire set's runs did to it. `runs` may be of any set. */
export function tireLife(set: Pick<TireSet, 'id' | 'diameterMm'>, runs: readonly SeasonRun[]): TireLife {
  const own = runs
    .filter((r) => r.tireSetId === set.id)
    .sort((a, b) => (a.at ?? a.day ?? 0) - (b.at ?? b.day ?? 0) || (a.runId < b.runId ? -1 : 1))
  const points = own.flatMap((r, i) =>
    r.tireMm === null ? [] : [{ runs: i + 1, diameterMm: r.tireMm, at: r.at }],
  )
  const diameterMm = set.diameterMm ?? points.at(-1)?.diameterMm ?? null
  const first = points[0]?.diameterMm
  return {
    runs: own,
    over: own.filter((r) => r.isOver).length,
    seconds: own.reduce((sum, r) => sum + (r.timeS ?? 0), 0),
    points,
    wear: robustTrend(points.map((p) => ({ x: p.runs, y: p.diameterMm }))),
    diameterMm,
    circumferenceMm: diameterMm === null ? null : Math.PI * diameterMm,
    shorterPercent: diameterMm === null || first === undefined ? null : (1 - diameterMm / first) * 100,
  }
}
