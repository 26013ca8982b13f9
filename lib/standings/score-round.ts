import { isFewerBetter, type SeriesRules } from './rules'

/** What a driver did in a round. */
export interface DriverResult {
  laps: number
  /** s */
  seconds: number
  /** As the officials placed it. Used where everybody who started in the round has one. */
  place?: number
  bestLapS?: number
  ended?: 'did-not-start' | 'did-not-finish'
}

export interface SeriesRound {
  id: string
  name: string
  /** Everybody who was to run has run: who has no result did not start. */
  isComplete: boolean
  /** By driver. */
  results: ReadonlyMap<string, DriverResult>
}

/** What a round gave a driver. */
export interface RoundScored {
  roundId: string
  /** Null without a start. */
  place: number | null
  points: number
  laps: number
  /** s; of a driver without laps 0 */
  seconds: number
  /** s; null when it is not known */
  bestLapS: number | null
  /** Did not finish: placed by what was driven. */
  isUnfinished: boolean
}

const didStart = (r: DriverResult | undefined): r is DriverResult =>
  r !== undefined && r.ended !== 'did-not-start'

type LapsAndTime = Pick<DriverResult, 'laps' | 'seconds'>

/** Lists leave the time of a car that stopped away: 0 s for laps that it did is no time at all, and comes last. */
const timeOf = ({ laps, seconds }: LapsAndTime) => (laps > 0 && seconds <= 0 ? Infinity : seconds)

/** Laps first, then time; below 0 when `a` is better. Times differ from a thousandth of a second on. */
export const byLapsAndTime = (a: LapsAndTime, b: LapsAndTime): number =>
  b.laps - a.laps || Math.round((timeOf(a) - timeOf(b)) * 1000) || 0

/** Points for a place, by the rule. */
export function pointsFor(rules: SeriesRules, place: number): number {
  if (rules.score !== 'points') return place
  const listed = rules.table[place - 1]
  if (listed !== undefined) return listed
  const last = rules.table.at(-1) ?? 0
  return isFewerBetter(rules) ? last + place - rules.table.length : 0
}

/**
 * The scores of a round: of everybody when it is complete, else of those who have a result.
 *
 * @param drivers everybody in the class
 */
export function scoreRound(
  rules: SeriesRules,
  round: SeriesRound,
  drivers: readonly string[],
): Map<string, RoundScored> {
  const started: { driver: string; result: DriverResult; laps: number; seconds: number }[] = []
  const scores = new Map<string, RoundScored>()
  for (const driver of drivers) {
    const result = round.results.get(driver)
    if (didStart(result))
      started.push({ driver, result, laps: result.laps, seconds: result.laps > 0 ? result.seconds : 0 })
  }
  const isPlaced = started.every((s) => s.result.place !== undefined)
  const compare = (a: (typeof started)[number], b: (typeof started)[number]) =>
    isPlaced ? (a.result.place ?? 0) - (b.result.place ?? 0) : byLapsAndTime(a, b)
  started.sort(compare)
  for (let from = 0; from < started.length;) {
    let to = from + 1
    while (to < started.length && sameRank(started, from, to, compare)) to++
    // The officials may leave places out.
    const place = (isPlaced ? started[from]?.result.place : undefined) ?? from + 1
    const points = pointsOf(rules, place, place + to - from - 1)
    for (const { driver, result, laps, seconds } of started.slice(from, to))
      scores.set(driver, {
        roundId: round.id,
        place,
        points,
        laps,
        seconds,
        bestLapS: result.bestLapS ?? null,
        isUnfinished: result.ended === 'did-not-finish',
      })
    from = to
  }
  for (const driver of drivers)
    if (!scores.has(driver) && (round.isComplete || round.results.has(driver)))
      scores.set(driver, noStart(rules, round.id, drivers.length, started.length))
  return scores
}

function sameRank<T>(list: readonly T[], a: number, b: number, compare: (x: T, y: T) => number): boolean {
  const [x, y] = [list[a], list[b]]
  return x !== undefined && y !== undefined && compare(x, y) === 0
}

/** Points of those who share the places `from` to `to`. */
function pointsOf(rules: SeriesRules, from: number, to: number): number {
  if (rules.equalPlaces === 'share' || to === from) return pointsFor(rules, from)
  let sum = 0
  for (let place = from; place <= to; place++) sum += pointsFor(rules, place)
  return sum / (to - from + 1)
}

/** The worst that the rule gives. */
function noStart(rules: SeriesRules, roundId: string, inClass: number, inRound: number): RoundScored {
  const behind = (rules.noStart === 'behind-class' ? inClass : inRound) + 1
  const isMoreBetter = rules.score === 'points' && !isFewerBetter(rules)
  return {
    roundId,
    place: null,
    points: isMoreBetter ? 0 : pointsFor(rules, behind),
    laps: 0,
    seconds: 0,
    bestLapS: null,
    isUnfinished: false,
  }
}
