import { joinRound, type OwnResult } from './ladder'
import type { Outcome } from './outcomes'
import { isFewerBetter } from './rules'
import { pointsFor, scoreRound, type DriverResult, type RoundScored } from './score-round'
import { placeIn, type Series } from './series-table'

/** A result without the officials' place: that held for its own round. */
export const withoutPlace = ({ place: _place, ...rest }: DriverResult): DriverResult => rest

export interface SeriesAfter {
  /** The series when the others do `outcome`, and `driver` does `own` in these rounds and does not start in the other open ones. */
  after: (outcome: Outcome, ownRounds: readonly string[], own: OwnResult) => Played
  /** The driver's place then. */
  placeAfter: (outcome: Outcome, ownRounds: readonly string[], own: OwnResult) => number
  /** No worse, or no better, than anything that can happen: for scores by place. */
  bound: (kind: 'best' | 'worst', ownRounds: readonly string[]) => number
}
interface Played {
  series: Series
  scores: readonly ReadonlyMap<string, RoundScored>[]
}

const NOBODY: ReadonlyMap<string, DriverResult> = new Map()

/** @param keepsResults whether results that open rounds already have stay; they do not where orders of a whole leg are tried */
export function seriesAfter(series: Series, driver: string, keepsResults: boolean): SeriesAfter {
  const { rules, drivers } = series
  const fixed = series.rounds.map((r) => (r.isComplete ? scoreRound(rules, r, drivers) : null))
  const known = series.rounds.map((r) =>
    keepsResults && !r.isComplete
      ? [...r.results].map(([d, x]): [string, DriverResult] => [d, withoutPlace(x)])
      : [],
  )
  const after = (outcome: Outcome, ownRounds: readonly string[], own: OwnResult): Played => {
    const rounds = series.rounds.map((r, i) => {
      if (r.isComplete) return r
      const others = new Map([...(outcome.get(r.id) ?? NOBODY), ...(known[i] ?? [])])
      const results = ownRounds.includes(r.id) ? joinRound(others, driver, own) : others
      return { ...r, isComplete: true, results }
    })
    return {
      series: { ...series, rounds },
      scores: rounds.map((r, i) => fixed[i] ?? scoreRound(rules, r, drivers)),
    }
  }
  return {
    after,
    placeAfter: (outcome, ownRounds, own) => {
      const played = after(outcome, ownRounds, own)
      return placeIn(played.series, played.scores, driver)
    },
    bound: (kind, ownRounds) => {
      const first = (roundId: string): RoundScored => ({
        ...nothing(roundId),
        place: 1,
        points: pointsFor(rules, 1),
        laps: 500,
        bestLapS: 1,
      })
      const nothing = (roundId: string): RoundScored => ({
        roundId,
        place: null,
        points: rules.score === 'points' && !isFewerBetter(rules) ? 0 : pointsFor(rules, drivers.length + 1),
        laps: 0,
        seconds: 0,
        bestLapS: null,
        isUnfinished: false,
      })
      const scores = series.rounds.map((r, i) => {
        const there = fixed[i]
        if (there) return there
        const isOwn = ownRounds.includes(r.id)
        // Who has run already: whoever is still to run can only take places from them, so this is the best it can be worth.
        const has = new Map(known[i])
        const asItIs = scoreRound(rules, { ...r, isComplete: false, results: has }, drivers)
        const most = (d: string) => asItIs.get(d) ?? (d !== driver || isOwn ? first(r.id) : nothing(r.id))
        return new Map(
          drivers.map((d): [string, RoundScored] => [
            d,
            (d === driver) === (kind === 'best') ? most(d) : nothing(r.id),
          ]),
        )
      })
      const rounds = series.rounds.map((r) => ({ ...r, isComplete: true }))
      return placeIn({ ...series, rounds }, scores, driver)
    },
  }
}
