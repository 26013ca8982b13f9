import { median, sdPerMad } from '../../setup-math'

/** Of a run's laps what its pace is told by. */
export interface RunLap {
  /** Mean of the laps that count, s. */
  lapS: number
  counted: number
  /** Laps that count for nothing: crashes, passes, the way out. Indices into the list. */
  leftOut: number[]
}

/** Fewer laps tell no pace. */
const LEAST_LAPS = 3

/**
 * A run's lap: the mean of the laps that are no mishap. A mishap is longer than the median by more than three robust deviations and 3%, or was marked as one.
 * @param laps in seconds, as they were driven. The first starts from standstill and does not count.
 * @returns null where fewer than three are left
 */
export function runLap(laps: readonly number[], marked: ReadonlySet<number> = new Set()): RunLap | null {
  const usable = laps.flatMap((s, i) => (i > 0 && s > 0 && Number.isFinite(s) && !marked.has(i) ? [s] : []))
  if (usable.length < LEAST_LAPS) return null
  const middle = median(usable)
  const spread = sdPerMad * median(usable.map((s) => Math.abs(s - middle)))
  const most = middle + Math.max(3 * spread, 0.03 * middle)
  const counts = (s: number, i: number) => i > 0 && s > 0 && s <= most && !marked.has(i)
  const kept = laps.filter(counts)
  if (kept.length < LEAST_LAPS) return null
  return {
    lapS: kept.reduce((a, b) => a + b, 0) / kept.length,
    counted: kept.length,
    leftOut: laps.flatMap((s, i) => (counts(s, i) ? [] : [i])),
  }
}
