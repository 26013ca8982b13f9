import { median } from '../setup-math'
import type { Point, Trend } from './robust-trend'

/** A figure that ends a part's racing, and on whose word. */
export interface Threshold {
  value: number
  /** Past it is above or below. */
  side: 'above' | 'below'
  /** Nobody on the team set it: common practice, no source. */
  isCommonPractice: boolean
}

/** What can be said of when a figure crosses a threshold. x as in the points. */
export type Leaving =
  /** Past it by the trend, or by the middle of the last readings. */
  | { state: 'past'; value: number }
  | { state: 'at'; x: number; from: number; to: number | null }
  /** Not within as long again as it was watched; further ahead nothing is said. */
  | { state: 'not-before'; x: number }
  /** The readings don't tell a change towards it from chance. */
  | { state: 'no-trend' }
  | { state: 'too-few'; points: number }

/** So many of the last readings tell where it stands now, by their middle: one bad one does not retire a pack. */
const LAST = 3

/**
 * When a figure crosses its threshold: by the fitted line, with the slopes of its interval as the earliest and the latest. Nothing is said further ahead
 * than the readings go back, and nothing where the interval holds a slope of zero.
 */
export function leaveRaces(points: readonly Point[], trend: Trend | null, threshold: Threshold): Leaving {
  const sorted = [...points].sort((a, b) => a.x - b.x)
  const [first, last] = [sorted[0], sorted.at(-1)]
  if (!first || !last) return { state: 'too-few', points: 0 }
  const isPast = (v: number) => (threshold.side === 'above' ? v > threshold.value : v < threshold.value)
  const now = median(sorted.slice(-LAST).map((p) => p.y))
  if (sorted.length >= LAST && isPast(now)) return { state: 'past', value: now }
  if (!trend) return { state: 'too-few', points: points.length }
  if (isPast(trend.at(last.x))) return { state: 'past', value: trend.at(last.x) }
  const towards = threshold.side === 'above' ? 1 : -1
  const [slow, fast] = towards > 0 ? [trend.low, trend.high] : [trend.high, trend.low]
  if (slow * towards <= 0) return { state: 'no-trend' }
  const crossing = (slope: number) => Math.max(last.x, (threshold.value - trend.withSlope(slope)(0)) / slope)
  const horizon = last.x + (last.x - first.x)
  const x = crossing(trend.slope)
  if (x > horizon) return { state: 'not-before', x: Math.min(horizon, crossing(fast)) }
  const to = crossing(slow)
  return { state: 'at', x, from: crossing(fast), to: to > horizon ? null : to }
}
