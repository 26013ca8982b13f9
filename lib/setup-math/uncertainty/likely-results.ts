import { paceFor } from '../pace/pace-for'

/** A lap count that a race may end with. */
export interface LikelyResult {
  laps: number
  /** 0..1. */
  chance: number
  /** Among the fewest counts that together hold at least 90%. */
  likely: boolean
  /** 90% interval of the finish if it is this count, s. */
  finishLowS: number
  finishHighS: number
}

/**
 * The lap counts that a race may end with, each with its chance and its finish, from the rising draws of its mean lap, s; in order of laps. A count takes whole
 * values only, so no interval of it can hold exactly 90%, and the finish falls back by a lap wherever the count rises: the two are told together, as
 * chances and as the finish given the count. The continuous figure with an ordinary interval is `raceDistanceLaps`.
 * Source: prediction of counts and how to check it, Czado, Gneiting, Held, Biometrics 65 (2009) 1254-1261.
 * @throws RangeProblem
 */
export function likelyResults(meanLapS: Float64Array, raceSeconds: number): LikelyResult[] {
  const byLaps = new Map<number, number[]>()
  // The draws are sorted, so each count's laps are too.
  for (const lapSeconds of meanLapS) {
    const { laps, finishSeconds } = paceFor({ raceSeconds, lapSeconds })
    const group = byLaps.get(laps)
    if (group) group.push(finishSeconds)
    else byLaps.set(laps, [finishSeconds])
  }
  const found = [...byLaps].map(([laps, finishes]): LikelyResult => ({
    laps,
    chance: finishes.length / meanLapS.length,
    likely: false,
    finishLowS: quantile(finishes, 0.05),
    finishHighS: quantile(finishes, 0.95),
  }))
  let held = 0
  for (const one of [...found].sort((a, b) => b.chance - a.chance)) {
    if (held >= 0.9) break
    one.likely = true
    held += one.chance
  }
  return found.sort((a, b) => a.laps - b.laps)
}

/** Of a sorted sample, at p (n + 1) between order statistics: the next draw falls below it with chance p (Hyndman, Fan 1996, type 6). */
function quantile(sorted: readonly number[], p: number): number {
  const at = Math.min(sorted.length - 1, Math.max(0, p * (sorted.length + 1) - 1))
  const low = sorted[Math.floor(at)] ?? Number.NaN
  const high = sorted[Math.ceil(at)] ?? low
  return low + (high - low) * (at - Math.floor(at))
}
