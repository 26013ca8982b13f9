import { placeLadder, resultLadder, weakestRung, type OwnResult, type ResultSteps } from './ladder'
import { allOrders, repeatedRuns, type Outcome, type Outcomes } from './outcomes'
import { byLapsAndTime, type DriverResult } from './score-round'
import { seriesAfter, withoutPlace } from './series-after'
import { seriesTable, type Series, type SeriesRow } from './series-table'
import { compareKeys, scoreKey } from './tie-keys'

export interface NeededQuestion {
  series: Series
  driver: string
  /** This place or a better one. */
  place: number
  /** Laps and time, the others repeating runs that they have had; or a place in a leg, the others in any order. */
  by: 'result' | 'place'
  /** Length of a race, s. */
  raceSeconds: number
  steps?: Partial<ResultSteps>
  seed?: number
  /** Up to so many cases all are gone through. */
  cases?: number
  /** Beyond, so many are drawn. */
  draws?: number
}

/** How often something is so. `plusMinus`: twice the standard error; 0 when all cases were counted. */
export interface Share {
  share: number
  plusMinus: number
}

/** The weakest own results that are enough; null where none is. */
export interface NeededResults {
  /** If nobody else does better than the weakest run that counts for them now. Not told of places. */
  ifOthersHold: OwnResult | null
  /** How often that is enough in the cases that `method` names. */
  holdShare: Share | null
  /** Enough in half of the cases, in nine of ten, and in every one. */
  half: OwnResult | null
  mostly: OwnResult | null
  always: OwnResult | null
  /** Who is ahead again if all of the others repeat their best run. */
  rivals: readonly string[]
}

export interface Needed {
  /**
   * `early`: fewer than half of the others have run, so there is too little to go by. `decided`: no round is left for anybody. `waiting`: none is left for this driver.
   * `sure`: reached without another start. `out`: not reached by the best result there could be.
   */
  state: 'early' | 'decided' | 'waiting' | 'sure' | 'out' | 'open'
  isReachedNow: boolean
  method: Outcomes['method']
  /** What is said of every case holds for all there are; else only for those that were drawn. */
  isCertain: boolean
  /** `sure` and `out` hold whatever the others do, not only in the cases. */
  isWhatever: boolean
  /** So it is in every order in which all of the others start; one of them who does not may change it. */
  isIfAllStart: boolean
  /** Ids of the rounds that are left for this driver. */
  rounds: readonly string[]
  /** How often the place is kept without another start. */
  asItIs: Share | null
  /** The same result in each of the rounds left. */
  each: NeededResults | null
  /** In the next round alone, without a start after it; null when that is the only one. */
  next: NeededResults | null
}

const NO_START: OwnResult = { kind: 'no-start' }

/**
 * Which results in the rounds that are left reach a place. Exact where the cases are few, else by seeded draws. It rests on what all rules here have in
 * common: a better result of one's own never makes one's place worse (tests hold that). What the others do has no such order where places are scored: a rival
 * who falls back lifts the others behind.
 */
export function neededFor(q: NeededQuestion): Needed {
  const { series, driver, place, by } = q
  const others = series.drivers.filter((d) => d !== driver)
  const open = series.rounds.filter((r) => !r.isComplete)
  const hasRun = (round: (typeof open)[number], who: string) => by === 'result' && round.results.has(who)
  const own = open.filter((r) => !hasRun(r, driver)).map((r) => r.id)
  const runsOf = runsBefore(series)
  const limits = {
    cases: q.cases ?? (by === 'place' ? 5040 : 512),
    draws: q.draws ?? (by === 'place' ? 2000 : 400),
    seed: q.seed ?? 1,
  }
  const outcomes =
    by === 'place'
      ? allOrders(
          open.map((r) => r.id),
          others,
          limits,
        )
      : repeatedRuns(
          open.map((r) => ({ round: r.id, drivers: others.filter((d) => !hasRun(r, d)) })),
          runsOf,
          limits,
        )
  const now = seriesTable(series)
  const isExact = outcomes.method.kind === 'exact'
  // Of laps and times alone nobody's run takes anything from another one.
  const isOrderly =
    by === 'result' && series.rules.score === 'laps-and-time' && !series.rules.ties.includes('most-firsts')
  const answer = (state: Needed['state'], rest: Partial<Needed> = {}): Needed => ({
    state,
    isReachedNow: (now.find((r) => r.driver === driver)?.place ?? Infinity) <= place,
    method: outcomes.method,
    isCertain: isExact || isOrderly,
    isWhatever: false,
    isIfAllStart: false,
    rounds: own,
    asItIs: null,
    each: null,
    next: null,
    ...rest,
  })
  if (open.length === 0) return answer('decided', { isCertain: true })
  const known = others.filter((d) => runsOf(d).length > 0).length
  if (by === 'result' && (known === 0 || known * 2 < others.length)) return answer('early')

  const game = seriesAfter(series, driver, by === 'result')
  const ladder = by === 'place' ? placeLadder(series.drivers.length) : resultLadder(q.raceSeconds, q.steps)
  const weakest = (outcome: Outcome, rounds: readonly string[]): number =>
    weakestRung(ladder, (rung) => game.placeAfter(outcome, rounds, ladder.at(rung)) <= place) ?? Infinity
  const all = [...outcomes.each()]
  const kept = all.filter((o) => game.placeAfter(o, [], NO_START) <= place).length
  const asItIs = shareOf(kept, outcomes.method)
  if (own.length === 0) return answer('waiting', { asItIs })

  const rungsOf = (rounds: readonly string[]) => all.map((o) => weakest(o, rounds)).sort((a, b) => a - b)
  const same = (pick: (d: string) => DriverResult | undefined): Outcome =>
    new Map(
      open.map((r) => {
        const runs = others.flatMap((d): [string, DriverResult][] => {
          const run = hasRun(r, d) ? undefined : pick(d)
          return run ? [[d, run]] : []
        })
        return [r.id, new Map(runs)]
      }),
    )
  const best = same((d) => runsOf(d)[0])
  const rungs = rungsOf(own)
  const [easiest, hardest] = isOrderly
    ? [
        weakest(
          same((d) => runsOf(d).at(-1)),
          own,
        ),
        weakest(best, own),
      ]
    : [rungs[0] ?? Infinity, rungs.at(-1) ?? Infinity]
  if (game.bound('worst', []) <= place) return answer('sure', { asItIs, isCertain: true, isWhatever: true })
  if (game.bound('best', own) > place) return answer('out', { asItIs, isCertain: true, isWhatever: true })
  // Drawn cases alone prove nothing.
  if (isExact || isOrderly) {
    if (hardest === 0) return answer('sure', { asItIs, isIfAllStart: by === 'place' })
    if (easiest === Infinity) return answer('out', { asItIs, isIfAllStart: by === 'place' })
  }

  const hold = same(weakestCounted(series, now))
  const resultsOf = (rounds: readonly string[], sorted: readonly number[]): NeededResults => {
    const rungAt = (rung: number | undefined) =>
      rung === undefined || rung === Infinity ? null : ladder.at(rung)
    const enoughIn = (share: number) => rungAt(sorted[Math.ceil(share * sorted.length - 1e-9) - 1])
    const held = by === 'place' ? Infinity : weakest(hold, rounds)
    const ahead = (outcome: Outcome) => {
      const table = seriesTable(game.after(outcome, rounds, ladder.at(held)).series)
      const reached = table.find((r) => r.driver === driver)?.place ?? 0
      return table.filter((r) => r.place < reached).map((r) => r.driver)
    }
    const aheadIfHeld = held === Infinity ? [] : ahead(hold)
    return {
      ifOthersHold: rungAt(held),
      holdShare: held === Infinity ? null : shareOf(sorted.filter((r) => r <= held).length, outcomes.method),
      half: enoughIn(0.5),
      mostly: enoughIn(0.9),
      always: isOrderly ? rungAt(weakest(best, rounds)) : enoughIn(1),
      rivals: held === Infinity ? [] : ahead(best).filter((d) => !aheadIfHeld.includes(d)),
    }
  }
  const next = own.slice(0, 1)
  return answer('open', {
    asItIs,
    each: resultsOf(own, rungs),
    next: own.length > 1 ? resultsOf(next, rungsOf(next)) : null,
  })
}

/** A share of the cases; of draws with Agresti and Coull's interval, which stays honest where all of them fit, or none. */
function shareOf(hits: number, method: Outcomes['method']): Share {
  if (method.kind === 'exact') return { share: hits / method.cases, plusMinus: 0 }
  const n = method.draws + 4
  const middle = (hits + 2) / n
  return { share: hits / method.draws, plusMinus: 2 * Math.sqrt((middle * (1 - middle)) / n) }
}

/** Every run that a driver has had in the series, best first. */
function runsBefore(series: Series): (driver: string) => readonly DriverResult[] {
  const known = new Map(
    series.drivers.map((driver) => {
      const runs = series.rounds.flatMap((r) => {
        const result = r.results.get(driver)
        return result && result.ended !== 'did-not-start' && result.laps > 0 ? [withoutPlace(result)] : []
      })
      return [driver, runs.sort(byLapsAndTime)]
    }),
  )
  return (driver) => known.get(driver) ?? []
}

/** The weakest run that counts for a driver now. */
function weakestCounted(series: Series, table: readonly SeriesRow[]) {
  const rows = new Map(table.map((r) => [r.driver, r]))
  return (driver: string): DriverResult | undefined => {
    const row = rows.get(driver)
    const runs = (row?.counted ?? []).flatMap((at) => {
      const score = row?.rounds[at]
      const result = series.rounds[at]?.results.get(driver)
      return score && result && score.laps > 0 ? [{ key: scoreKey(series.rules, score), result }] : []
    })
    const weakest = runs.sort((a, b) => compareKeys(b.key, a.key))[0]
    return weakest && withoutPlace(weakest.result)
  }
}
