import type { OwnResult, Series, SeriesRules, DriverResult } from '@/lib/standings'

/**
 * Standings and what is needed for them, a second time and with nothing of the library: places by counting who is better, orders by comparing two drivers
 * rule by rule, every case by recursion and every own result one after the other. Slow, and for small meetings only.
 */
interface Scored {
  started: boolean
  place: number
  value: number
  laps: number
  ms: number
  lap: number
}
type Sheet = (Scored | undefined)[]

const ms = (s: number) => Math.round(s * 1000)
const rising = (r: SeriesRules) =>
  r.score === 'place' || (r.score === 'points' && r.table[0]! < r.table[r.table.length - 1]!)

function worth(r: SeriesRules, place: number): number {
  if (r.score !== 'points') return place
  if (place <= r.table.length) return r.table[place - 1]!
  return rising(r) ? r.table[r.table.length - 1]! + (place - r.table.length) : 0
}

/** Is x a better run than y? */
const beats = (x: DriverResult, y: DriverResult) =>
  x.laps !== y.laps ? x.laps > y.laps : x.laps > 0 && ms(x.seconds) < ms(y.seconds)

function sheetOf(series: Series, isDone: (i: number) => boolean): Record<string, Sheet> {
  const sheets: Record<string, Sheet> = Object.fromEntries(series.drivers.map((d) => [d, []]))
  series.rounds.forEach((round, i) => {
    const ran = series.drivers.filter(
      (d) => round.results.get(d) && round.results.get(d)!.ended !== 'did-not-start',
    )
    const official = ran.every((d) => round.results.get(d)!.place !== undefined)
    for (const d of series.drivers) {
      const r = round.results.get(d)
      if (!ran.includes(d)) {
        if (!isDone(i) && !r) {
          sheets[d]!.push(undefined)
          continue
        }
        const behind = 1 + (series.rules.noStart === 'behind-class' ? series.drivers.length : ran.length)
        const isFalling = series.rules.score === 'points' && !rising(series.rules)
        const value = isFalling ? 0 : worth(series.rules, behind)
        sheets[d]!.push({ started: false, place: 0, value, laps: 0, ms: 0, lap: Infinity })
        continue
      }
      const better = (x: string, y: string) =>
        official
          ? round.results.get(x)!.place! < round.results.get(y)!.place!
          : beats(round.results.get(x)!, round.results.get(y)!)
      const place = official ? r!.place! : 1 + ran.filter((x) => better(x, d)).length
      const level = ran.filter((x) => !better(x, d) && !better(d, x)).length
      let value = 0
      if (series.rules.equalPlaces === 'average') {
        for (let n = 0; n < level; n++) value += worth(series.rules, place + n) / level
      } else value = worth(series.rules, place)
      const run = r!
      sheets[d]!.push({
        started: true,
        place,
        value,
        laps: run.laps,
        ms: run.laps ? ms(run.seconds) : 0,
        lap: run.bestLapS ?? Infinity,
      })
    }
  })
  return sheets
}

/** Negative: x is the better score. */
function score(r: SeriesRules, x: Scored, y: Scored): number {
  if (r.score === 'laps-and-time') return y.laps - x.laps || x.ms - y.ms
  const by = ms(x.value) - ms(y.value)
  return rising(r) ? by : -by
}

interface Sorted {
  all: Scored[]
  in: Scored[]
  out: Scored[]
  last: Scored | undefined
  until: Scored[]
  seed: number
}

function sorted(series: Series, sheet: Sheet, isDone: (i: number) => boolean, driver: string): Sorted {
  const done = series.rounds.filter((_, i) => isDone(i)).length
  const count = Math.max(1, Math.min(series.rules.counting ?? 99, done))
  // Places of a round that not everybody has run are left out, unless there are no others.
  const counts = (i: number) => series.rules.score === 'laps-and-time' || done === 0 || isDone(i)
  const left = sheet.flatMap((s, i) => (s && counts(i) ? [{ s, i }] : []))
  const picked: Scored[] = []
  const pool = [...left]
  while (pool.length) {
    let best = 0
    for (let n = 1; n < pool.length; n++) {
      const by = score(series.rules, pool[n]!.s, pool[best]!.s)
      if (by < 0 || (by === 0 && pool[n]!.i > pool[best]!.i)) best = n
    }
    picked.push(pool.splice(best, 1)[0]!.s)
  }
  let lastAt = -1
  series.rounds.forEach((_, i) => {
    if (isDone(i)) lastAt = i
  })
  const seed = series.seeding?.find((s) => s.driver === driver)?.place ?? -1
  return {
    all: left.map((l) => l.s),
    in: picked.slice(0, count),
    out: picked.slice(count),
    last: lastAt < 0 ? undefined : sheet[lastAt],
    until: left.filter((l) => l.i <= lastAt).map((l) => l.s),
    seed: seed < 0 ? Infinity : seed,
  }
}

/** Negative: a is ahead. */
function ahead(r: SeriesRules, a: Sorted, b: Sorted): number {
  if (a.in.length !== b.in.length) return b.in.length - a.in.length
  const sum = (s: Sorted, f: (x: Scored) => number) => s.in.reduce((n, x) => n + f(x), 0)
  const whole = (s: Sorted): Scored => ({
    started: true,
    place: 0,
    value: sum(s, (x) => x.value),
    laps: sum(s, (x) => x.laps),
    ms: sum(s, (x) => x.ms),
    lap: Infinity,
  })
  const total = score(r, whole(a), whole(b))
  if (total) return total
  const pair = (x: Scored | undefined, y: Scored | undefined) =>
    x && y ? score(r, x, y) : x ? -1 : y ? 1 : 0
  for (const rule of r.ties) {
    let by = 0
    if (rule === 'best-dropped') by = pair(a.out[0], b.out[0])
    if (rule === 'best-result') by = pair(a.in[0], b.in[0])
    if (rule === 'second-best-result') by = pair(a.in[1], b.in[1])
    if (rule === 'results-in-turn') for (let i = 0; !by && i < a.in.length; i++) by = pair(a.in[i], b.in[i])
    if (rule === 'most-firsts')
      for (let p = 1; !by && p < 30; p++)
        by = b.all.filter((x) => x.place === p).length - a.all.filter((x) => x.place === p).length
    if (rule === 'last-round') by = pair(a.last, b.last)
    if (rule === 'last-rounds-in-turn')
      for (let i = a.until.length - 1; !by && i >= 0; i--) by = pair(a.until[i], b.until[i])
    if (rule === 'fastest-run') {
      const top = (s: Sorted) => {
        let best: Scored | undefined
        for (const x of s.all)
          if (x.laps > 0 && (!best || x.laps > best.laps || (x.laps === best.laps && x.ms < best.ms)))
            best = x
        return best
      }
      const [x, y] = [top(a), top(b)]
      by = x && y ? y.laps - x.laps || x.ms - y.ms : x ? -1 : y ? 1 : 0
    }
    if (rule === 'fastest-lap') {
      const top = (s: Sorted) => Math.min(...s.all.map((x) => x.lap))
      by = top(a) === top(b) ? 0 : top(a) - top(b)
    }
    if (rule === 'qualifying') by = a.seed === b.seed ? 0 : a.seed - b.seed
    if (by) return by
  }
  return 0
}

/** Places by counting who is ahead. */
export function placesByHand(series: Series, allDone = false): Record<string, number> {
  const isDone = (i: number) => allDone || series.rounds[i]!.isComplete
  const sheets = sheetOf(series, isDone)
  const tallies = Object.fromEntries(
    series.drivers.map((d) => [d, sorted(series, sheets[d]!, isDone, d)] as const),
  )
  return Object.fromEntries(
    series.drivers.map((d) => [
      d,
      1 + series.drivers.filter((o) => o !== d && ahead(series.rules, tallies[o]!, tallies[d]!) < 0).length,
    ]),
  )
}

/** The others as they are when none of them does better than the weakest run that counts for them: in every open round in which they have no result. */
export function holdByHand(series: Series, driver: string): HandCase {
  const isDone = (i: number) => series.rounds[i]!.isComplete
  const sheets = sheetOf(series, isDone)
  const fills: HandCase['fills'] = {}
  for (const d of series.drivers) {
    if (d === driver) continue
    const counted = sorted(series, sheets[d]!, isDone, d).in.filter((s) => s.laps > 0)
    let weakest: Scored | undefined
    for (const s of sheets[d]!) {
      if (!s || !counted.includes(s)) continue
      if (!weakest || score(series.rules, weakest, s) < 0) weakest = s
    }
    if (!weakest) continue
    const run = {
      laps: weakest.laps,
      seconds: weakest.ms / 1000,
      ...(weakest.lap < Infinity && { bestLapS: weakest.lap }),
    }
    for (const r of series.rounds)
      if (!r.isComplete && !r.results.has(d)) fills[r.id] = { ...fills[r.id], [d]: run }
  }
  return { fills }
}

/** Every own result that a ladder has, weakest first. */
export function rungsByHand(
  by: 'result' | 'place',
  t: { raceSeconds: number; lastLapS: number; mostLaps: number; drivers: number },
): OwnResult[] {
  const list: OwnResult[] = [{ kind: 'no-start' }]
  if (by === 'place') for (let p = t.drivers; p >= 1; p--) list.push({ kind: 'place', place: p })
  else
    for (let laps = 1; laps <= t.mostLaps; laps++)
      for (let s = t.lastLapS; s >= 0; s--)
        list.push({ kind: 'result', laps, seconds: t.raceSeconds + s, isAnyTime: s === t.lastLapS })
  return list
}

export interface HandCase {
  /** By open round and driver. */
  fills: Record<string, Record<string, DriverResult>>
}

/** All cases: what each of the others may do in each open round in which it has no result. */
export function casesByHand(series: Series, driver: string, by: 'result' | 'place'): HandCase[] {
  const others = series.drivers.filter((d) => d !== driver)
  const open = series.rounds.filter((r) => !r.isComplete)
  const runs = (d: string) =>
    series.rounds.flatMap((r) => {
      const x = r.results.get(d)
      return x && x.ended !== 'did-not-start' && x.laps > 0 ? [x] : []
    })
  const orders = (list: string[]): string[][] =>
    list.length < 2
      ? [list]
      : list.flatMap((x, i) => orders([...list.slice(0, i), ...list.slice(i + 1)]).map((o) => [x, ...o]))
  let cases: HandCase[] = [{ fills: {} }]
  for (const round of open) {
    if (by === 'place') {
      cases = cases.flatMap((c) =>
        orders(others).map((order) => ({
          fills: {
            ...c.fills,
            [round.id]: Object.fromEntries(
              order.map((d, i) => [d, { laps: 0, seconds: 0, place: i + 1 } satisfies DriverResult]),
            ),
          },
        })),
      )
      continue
    }
    for (const d of others) {
      if (round.results.has(d) || runs(d).length === 0) continue
      cases = cases.flatMap((c) =>
        runs(d).map((run) => ({
          fills: {
            ...c.fills,
            [round.id]: { ...c.fills[round.id], [d]: { ...run, place: undefined } } as never,
          },
        })),
      )
    }
  }
  return cases
}

/** Much of what the others may do at all, repeated or not: who still has to run may run far better or far worse than anybody, in any order, or not start. */
export function* anythingByHand(series: Series, driver: string): Generator<HandCase> {
  const open = series.rounds.filter((r) => !r.isComplete)
  const lists = (left: string[]): string[][] => [
    [],
    ...left.flatMap((d) => lists(left.filter((o) => o !== d)).map((rest) => [d, ...rest])),
  ]
  function* from(at: number, fills: HandCase['fills']): Generator<HandCase> {
    const round = open[at]
    if (!round) return yield { fills }
    const left = series.drivers.filter((d) => d !== driver && !round.results.has(d))
    for (const list of lists(left))
      for (const laps of [400, 1]) {
        const runs = list.map((d, i): [string, DriverResult] => [
          d,
          { laps, seconds: 400 + i, ...(laps > 1 && { bestLapS: 1 }) },
        ])
        yield* from(at + 1, { ...fills, [round.id]: Object.fromEntries(runs) })
      }
  }
  yield* from(0, {})
}

/** The place after a case and an own result in these rounds. */
export function placeAfterByHand(
  series: Series,
  driver: string,
  by: 'result' | 'place',
  { fills }: HandCase,
  ownRounds: readonly string[],
  own: OwnResult,
): number {
  const rounds = series.rounds.map((r) => {
    if (r.isComplete) return r
    const results = new Map<string, DriverResult>()
    if (by === 'result')
      for (const [d, x] of r.results) results.set(d, { ...x, place: undefined } as unknown as DriverResult)
    for (const [d, x] of Object.entries(fills[r.id] ?? {})) results.set(d, x)
    if (ownRounds.includes(r.id)) {
      if (own.kind === 'result') results.set(driver, { laps: own.laps, seconds: own.seconds })
      if (own.kind === 'place') {
        for (const [d, x] of results) if (x.place! >= own.place) results.set(d, { ...x, place: x.place! + 1 })
        results.set(driver, { laps: 0, seconds: 0, place: own.place })
      }
    }
    return { ...r, results }
  })
  return placesByHand({ ...series, rounds }, true)[driver]!
}
