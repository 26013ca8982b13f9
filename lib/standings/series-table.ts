import type { TieKey } from '../core/standings-terms'
import type { SeriesRules } from './rules'
import { scoreRound, type RoundScored, type SeriesRound } from './score-round'
import { compareKeys, scoreKey, tieKey, totalOf, type Tally } from './tie-keys'

export interface Series {
  rules: SeriesRules
  /** In the order driven. Rounds that nobody has run yet have no results. */
  rounds: readonly SeriesRound[]
  /** Ids of everybody in the class. */
  drivers: readonly string[]
  /** The places from before: qualifying, for finals. Those who were level there have the same one. */
  seeding?: readonly { driver: string; place: number }[]
}

/** Why one of two that are level is ahead: the first rule of the chain that tells them apart. */
export interface PartedBy {
  rule: TieKey
  /** The one behind. */
  from: string
}

export interface SeriesRow {
  driver: string
  /** Equal where nothing parts them; the next place is then left out. */
  place: number
  points: number
  laps: number
  /** s */
  seconds: number
  /** One for each round of the series; null where the driver has not run yet. */
  rounds: readonly (RoundScored | null)[]
  /** Indices of the rounds that count. */
  counted: readonly number[]
  /** Indices of the rounds that could: of the others the places may still change. */
  eligible: readonly number[]
  /** What put this driver ahead of the next one, where their totals are the same and the chain parts them. */
  parted: PartedBy | null
  /** Those with the same place. */
  levelWith: readonly string[]
}

interface Ranked {
  driver: string
  tally: Tally
  rounds: (RoundScored | null)[]
  total: number[]
  ties: (number[] | undefined)[]
}

/** How many rounds count for everybody so far: no more than all have run, so that who has run more is not ahead or behind for that. */
export function countingNow(rules: SeriesRules, rounds: readonly SeriesRound[]): number {
  const run = rounds.filter((r) => r.isComplete).length
  return Math.max(1, Math.min(rules.counting ?? Infinity, run))
}

/**
 * Which rounds count for whoever has run in them. A time stays what it is; a place is one only when everybody has run: the first few in are not the first few.
 * Until a round is complete its places so far are all there is.
 */
export function eligibleRounds(rules: SeriesRules, rounds: readonly SeriesRound[]): number[] {
  const all = rounds.map((_, i) => i)
  const complete = all.filter((i) => rounds[i]?.isComplete)
  return rules.score === 'laps-and-time' || complete.length === 0 ? all : complete
}

/** The scores of each round that has any. */
export const scoresOf = (series: Series): Map<string, RoundScored>[] =>
  series.rounds.map((round) => scoreRound(series.rules, round, series.drivers))

/** The order of a series as it stands, and why. The order of `drivers` and of results changes nothing. */
export function seriesTable(series: Series): SeriesRow[] {
  const ranked = rank(series, scoresOf(series))
  const { rules } = series
  ranked.sort((a, b) => compareRanked(rules, a, b).order || (a.driver < b.driver ? -1 : 1))
  const rows: SeriesRow[] = []
  const eligible = eligibleRounds(rules, series.rounds)
  for (let from = 0; from < ranked.length;) {
    const first = ranked[from] as Ranked
    let to = from + 1
    while (to < ranked.length && compareRanked(rules, first, ranked[to] as Ranked).order === 0) to++
    const level = ranked.slice(from, to)
    const next = ranked[to]
    const by = next && compareRanked(rules, first, next).by
    for (const r of level)
      rows.push({
        driver: r.driver,
        place: from + 1,
        ...totalOf(r.tally.counted),
        rounds: r.rounds,
        counted: r.tally.counted.map((s) => r.rounds.indexOf(s)).sort((a, b) => a - b),
        eligible,
        parted: next && by ? { rule: by, from: next.driver } : null,
        levelWith: level.filter((o) => o !== r).map((o) => o.driver),
      })
    from = to
  }
  return rows
}

/** One driver's place, from scores that are there: for whoever asks thousands of times. */
export function placeIn(
  series: Series,
  scores: readonly ReadonlyMap<string, RoundScored>[],
  driver: string,
): number {
  const ranked = rank(series, scores)
  const own = ranked.find((r) => r.driver === driver)
  if (!own) return ranked.length + 1
  let ahead = 0
  for (const other of ranked) if (other !== own && compareRanked(series.rules, other, own).order < 0) ahead++
  return ahead + 1
}

function rank(series: Series, scores: readonly ReadonlyMap<string, RoundScored>[]): Ranked[] {
  const { rules } = series
  const count = countingNow(rules, series.rounds)
  const lastRun = series.rounds.findLastIndex((r) => r.isComplete)
  const seeds = new Map(series.seeding?.map(({ driver, place }) => [driver, place]))
  const eligible = eligibleRounds(rules, series.rounds)
  return series.drivers.map((driver) => {
    const rounds = scores.map((s) => s.get(driver) ?? null)
    const run = eligible.flatMap((i) => rounds[i] ?? [])
    // Of equal scores the earliest is dropped.
    const keyed = run.map((score, at) => ({ score, at, key: scoreKey(rules, score) }))
    keyed.sort((a, b) => compareKeys(a.key, b.key) || b.at - a.at)
    const best = keyed.map((k) => k.score)
    const tally: Tally = {
      rounds: run,
      counted: best.slice(0, count),
      dropped: best.slice(count),
      latest: rounds[lastRun] ?? null,
      seed: seeds.get(driver) ?? null,
    }
    // Before the first round is complete, whoever has not run yet is behind everybody who has.
    const total = [count - tally.counted.length, ...scoreKey(rules, totalOf(tally.counted))]
    return { driver, tally, rounds, total, ties: [] }
  })
}

function compareRanked(rules: SeriesRules, a: Ranked, b: Ranked): { order: number; by?: TieKey } {
  const totals = compareKeys(a.total, b.total)
  if (totals !== 0) return { order: totals }
  for (const [i, by] of rules.ties.entries()) {
    const order = compareKeys(
      (a.ties[i] ??= tieKey(rules, by, a.tally)),
      (b.ties[i] ??= tieKey(rules, by, b.tally)),
    )
    if (order !== 0) return { order, by }
  }
  return { order: 0 }
}
