import { checkNumber, checkObject } from '../check-number'
import { RangeProblem } from '../range-problem'
import type {
  RoundEntry,
  RoundScore,
  ScoredRound,
  Standing,
  StandingsInput,
  StandingsRule,
  TieBreak,
} from './standings-rule'

interface Tally extends Omit<Standing, 'place' | 'tiedWith' | 'partedBy'> {
  seed: number
  rounds: ScoredRound[]
}

/**
 * Standings under a rule that is data: points or laps and time, best n of m, a chain of tie breaks. A heat's rounds and a final's legs are the
 * same thing here.
 * @throws RangeProblem
 */
export function standings({ rule, results, seeding = [] }: StandingsInput): Standing[] {
  checkRule(rule)
  results.forEach((round, i) => {
    checkRound(round.entries, i)
  })
  const drivers = [...new Set(results.flatMap((r) => r.entries.map((e) => e.driver)))]
  const scored = results.map((r) => ({ round: r.round, scores: scoreRound(r.round, r.entries, rule.score) }))
  const tallies = drivers.map((driver): Tally => {
    const rounds = scored.map((r) => r.scores.get(driver) ?? noStart(r.round, rule.score))
    const best = [...rounds].sort((a, b) => compareScores(rule.score, a, b))
    const count = Math.min(rule.counting ?? best.length, best.length)
    const counted = best.slice(0, count)
    const seed = seeding.indexOf(driver)
    const sum = (f: (r: ScoredRound) => number) => counted.reduce((s, r) => s + f(r), 0)
    return {
      driver,
      points: sum((r) => r.points),
      laps: sum((r) => r.laps),
      seconds: sum((r) => r.seconds),
      counted,
      dropped: best.slice(count),
      rounds,
      seed: seed < 0 ? Infinity : seed,
    }
  })
  tallies.sort((a, b) => compareTallies(rule, a, b).order || (a.driver < b.driver ? -1 : 1))
  let place = 0
  return tallies.map((t, i): Standing => {
    const before = tallies[i - 1]
    if (!before || compareTallies(rule, before, t).order !== 0) place = i + 1
    const next = tallies[i + 1]
    const parted = next && compareTallies(rule, t, next)
    const { seed: _seed, rounds: _rounds, ...shown } = t
    return {
      place,
      ...shown,
      ...(parted?.by && parted.order !== 0 && { partedBy: parted.by }),
      tiedWith: tallies.filter((o) => o !== t && compareTallies(rule, o, t).order === 0).map((o) => o.driver),
    }
  })
}

function checkRule(rule: StandingsRule): void {
  checkObject('rule', rule)
  checkObject('rule.score', rule.score)
  if (rule.counting !== undefined)
    checkNumber('rule.counting', rule.counting, { min: 1, max: 1000, whole: true, unit: 'rounds' })
  if (rule.score.kind === 'points') {
    rule.score.table.forEach((p, i) => checkNumber(`rule.score.table[${i}]`, p, { min: -1e6, max: 1e6 }))
    checkNumber('rule.score.beyond', rule.score.beyond, { min: -1e6, max: 1e6 })
  }
}

function checkRound(entries: readonly RoundEntry[], i: number): void {
  const seen = new Set<string>()
  for (const e of entries) {
    if (seen.has(e.driver)) throw new RangeProblem(`results[${i}].entries`, e.driver, 'each driver once')
    seen.add(e.driver)
    if (e.laps !== undefined)
      checkNumber(`results[${i}].${e.driver}.laps`, e.laps, { min: 0, max: 1e6, whole: true, unit: 'laps' })
    if (e.seconds !== undefined)
      checkNumber(`results[${i}].${e.driver}.seconds`, e.seconds, { min: 0, max: 1e6, unit: 's' })
    if (e.position !== undefined)
      checkNumber(`results[${i}].${e.driver}.position`, e.position, { min: 1, max: 1e4, whole: true })
  }
}

const byLapsAndTime = (a: { laps: number; seconds: number }, b: { laps: number; seconds: number }): number =>
  b.laps - a.laps || a.seconds - b.seconds

function scoreRound(
  round: string,
  entries: readonly RoundEntry[],
  score: RoundScore,
): Map<string, ScoredRound> {
  const started = entries
    .filter((e) => !e.disqualified && (e.laps !== undefined || e.position !== undefined))
    .map((e) => ({ ...e, laps: e.laps ?? 0, seconds: e.seconds ?? 0 }))
    .sort((a, b) => (a.position ?? Infinity) - (b.position ?? Infinity) || byLapsAndTime(a, b))
  return new Map(
    started.map((e): [string, ScoredRound] => {
      // Equal laps and time share the better position, unless the officials placed them.
      const position = e.position ?? started.findIndex((o) => byLapsAndTime(o, e) === 0) + 1
      const points = score.kind === 'points' ? (score.table[position - 1] ?? score.beyond) : 0
      return [e.driver, { round, started: true, position, points, laps: e.laps, seconds: e.seconds }]
    }),
  )
}

function noStart(round: string, score: RoundScore): ScoredRound {
  return { round, started: false, points: score.kind === 'points' ? score.beyond : 0, laps: 0, seconds: 0 }
}

/** Negative when a is better. */
function compareScores(score: RoundScore, a: ScoredRound, b: ScoredRound): number {
  const points = score.kind !== 'points' ? 0 : score.lowIsGood ? a.points - b.points : b.points - a.points
  return points || Number(b.started) - Number(a.started) || byLapsAndTime(a, b)
}

function comparePoints(score: RoundScore, a: ScoredRound, b: ScoredRound): number {
  if (score.kind !== 'points') return byLapsAndTime(a, b)
  return score.lowIsGood ? a.points - b.points : b.points - a.points
}

function compareTallies(rule: StandingsRule, a: Tally, b: Tally): { order: number; by?: TieBreak } {
  const { score } = rule
  const totals =
    score.kind !== 'points'
      ? byLapsAndTime(a, b)
      : score.lowIsGood
        ? a.points - b.points
        : b.points - a.points
  if (Math.abs(totals) > 1e-9) return { order: totals }
  for (const by of rule.ties) {
    const order = breakTie(by, score, a, b)
    if (order !== 0) return { order, by }
  }
  return { order: 0 }
}

const inTurn = (
  a: ScoredRound[],
  b: ScoredRound[],
  compare: (x: ScoredRound, y: ScoredRound) => number,
): number => {
  for (let i = 0; i < Math.min(a.length, b.length); i++) {
    const [x, y] = [a[i], b[i]]
    const order = x && y ? compare(x, y) : 0
    if (order !== 0) return order
  }
  return 0
}

function breakTie(by: TieBreak, score: RoundScore, a: Tally, b: Tally): number {
  switch (by) {
    case 'counted scores in turn':
      return inTurn(a.counted, b.counted, (x, y) => comparePoints(score, x, y))
    case 'dropped scores in turn':
      return inTurn(a.dropped, b.dropped, (x, y) => comparePoints(score, x, y))
    case 'laps and times in turn':
      return inTurn([...a.counted].sort(byLapsAndTime), [...b.counted].sort(byLapsAndTime), byLapsAndTime)
    case 'latest round': {
      for (let i = a.rounds.length - 1; i >= 0; i--) {
        const [x, y] = [a.rounds[i], b.rounds[i]]
        if (x?.started && y?.started) return comparePoints(score, x, y)
      }
      return 0
    }
    case 'seeding':
      return a.seed === b.seed ? 0 : a.seed - b.seed
  }
}
