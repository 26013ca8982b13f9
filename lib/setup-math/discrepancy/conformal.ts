import { z90 } from '../constants'

/** Fewer past predictions than this do not tell a 90% quantile. */
export const leastPredictions = 9

/**
 * By how much intervals must be widened so that past predictions would have been held nine times in ten: the ceil(0.9 (n + 1))-th smallest of their scores
 * (|off| over the deviation that was told), over 1.645; never below 1. 1 while there are too few.
 * Source: split conformal prediction, Vovk, Gammerman, Shafer, Algorithmic Learning in a Random World (2005); Romano, Patterson, Candès (2019); that recent
 * ones should count where things drift, Barber et al., Ann. Stat. 51 (2023): the latest 60 are used. From memory.
 */
export function conformalFactor(scores: readonly number[]): number {
  const recent = scores.filter((s) => Number.isFinite(s)).slice(-60)
  if (recent.length < leastPredictions) return 1
  const sorted = [...recent].sort((a, b) => a - b)
  const rank = Math.min(sorted.length, Math.ceil(0.9 * (sorted.length + 1)))
  return Math.max(1, (sorted[rank - 1] ?? z90) / z90)
}
