import type { TieKey } from '../core/standings-terms'
import { isFewerBetter, type SeriesRules } from './rules'
import { byLapsAndTime, type RoundScored } from './score-round'

/** A driver's rounds, sorted out. */
export interface Tally {
  /** In the order driven: those that count or could. */
  rounds: readonly RoundScored[]
  /** Best first. */
  counted: readonly RoundScored[]
  dropped: readonly RoundScored[]
  /** The latest round that everybody has run; null before the first. */
  latest: RoundScored | null
  /** From 1; null when there is no order from before. */
  seed: number | null
}

/** Thousandths, so that sums of averages compare as they are meant. */
const whole = (x: number): number => Math.round(x * 1000)

/** A score as numbers that compare in turn, lower is better. */
export function scoreKey(rules: SeriesRules, s: Pick<RoundScored, 'points' | 'laps' | 'seconds'>): number[] {
  if (rules.score === 'laps-and-time') return [-s.laps, whole(s.seconds)]
  return [isFewerBetter(rules) ? whole(s.points) : -whole(s.points)]
}

export const totalOf = (counted: readonly RoundScored[]) => ({
  points: whole(counted.reduce((sum, r) => sum + r.points, 0)) / 1000,
  laps: counted.reduce((sum, r) => sum + r.laps, 0),
  seconds: whole(counted.reduce((sum, r) => sum + r.seconds, 0)) / 1000,
})

/**
 * What a tie rule compares, as numbers in turn, lower is better. Each driver's depends on the driver's own rounds alone, so that any two, and any number of
 * drivers are put in the same order; a comparison of the races between two of them would not do that.
 */
export function tieKey(rules: SeriesRules, by: TieKey, t: Tally): number[] {
  const one = (s: RoundScored | null | undefined) => (s ? scoreKey(rules, s) : [])
  switch (by) {
    case 'best-dropped':
      return one(t.dropped[0])
    case 'best-result':
      return one(t.counted[0])
    case 'second-best-result':
      return one(t.counted[1])
    case 'results-in-turn':
      return t.counted.flatMap((s) => scoreKey(rules, s))
    case 'most-firsts':
      return countBack(t.rounds)
    case 'last-round':
      return one(t.latest)
    case 'last-rounds-in-turn': {
      const upTo = t.latest ? t.rounds.indexOf(t.latest) + 1 : 0
      return t.rounds
        .slice(0, upTo)
        .reverse()
        .flatMap((s) => scoreKey(rules, s))
    }
    case 'fastest-run': {
      const best = t.rounds.filter((r) => r.laps > 0).sort(byLapsAndTime)[0]
      return best ? [-best.laps, whole(best.seconds)] : []
    }
    case 'fastest-lap': {
      const laps = t.rounds.flatMap((r) => (r.bestLapS === null ? [] : [whole(r.bestLapS)]))
      return laps.length ? [Math.min(...laps)] : []
    }
    case 'qualifying':
      return t.seed === null ? [] : [t.seed]
  }
}

/** How often first, second and so on, more being better. */
function countBack(rounds: readonly RoundScored[]): number[] {
  const counts: number[] = []
  for (const { place } of rounds) {
    if (place === null) continue
    while (counts.length < place) counts.push(0)
    counts[place - 1] = (counts[place - 1] ?? 0) - 1
  }
  return counts
}

/** Below 0 when `a` is better. What one of them does not have is worse than anything. */
export function compareKeys(a: readonly number[], b: readonly number[]): number {
  for (let i = 0; i < Math.max(a.length, b.length); i++) {
    const [x, y] = [a[i] ?? Infinity, b[i] ?? Infinity]
    if (x !== y) return x < y ? -1 : 1
  }
  return 0
}
