import type { MilpSolver } from '../solver/milp'
import { MilpBuilder } from '../solver/milp'
import { solveGoals } from '../solver/solve-goals'

type Entry = readonly [column: number, value: number]

/** A set of tires of the team. */
export interface TireSet {
  id: string
  label: string
  /** Runs that it is still good for. */
  runsLeft: number
  /** Already run: no new set is opened by using it. */
  used: boolean
}

/** A rule of the meeting: no more than so many sets for one driver in one class. */
export interface TireLimit {
  id: string
  label: string
  maxSets: number
  /** Sets that count against it already. */
  usedSetIds: readonly string[]
}

/** A run to be shod. Times are ms since the epoch. */
export interface TireRun {
  id: string
  label: string
  carId: string
  /** When the set must be on the car. */
  readyBy: number
  /** When the set can be taken off again. */
  freeAt: number
  /** A whole number: 0 for practice, more for qualifying, most for finals. */
  importance: number
  /** The allowance that its set counts against (see `TireLimit`); null when the rules know none. */
  limitId: string | null
  /** The sets that fit and are allowed, each with its mismatch: a whole number, 0 for the best. */
  fits: readonly { setId: string; mismatch: number }[]
}

export interface TireInput {
  runs: readonly TireRun[]
  sets: readonly TireSet[]
  limits: readonly TireLimit[]
  /** To take a set off one car and put it on another. */
  changeSeconds: number
  /** Choices made by people, which stand. */
  pins: readonly { runId: string; setId: string }[]
  /** What is on the cars now: leaving it on changes nothing. */
  onCars: readonly { carId: string; setId: string }[]
  /** What people know as the plan; differing from it is the last thing that counts. */
  known: readonly { runId: string; setId: string }[]
}

/** What an assignment costs under each goal, in whole units; smaller is better. */
export interface TireValues {
  unshod: number
  mismatch: number
  newSets: number
  changes: number
  /** Runs whose set differs from what people know. */
  news: number
}

export interface TirePlan {
  uses: { runId: string; setId: string }[]
  /** Runs that no set is left for, and why. */
  unshod: { runId: string; words: string }[]
  values: TireValues
  /** True when no plan is better in the order of the values. */
  proven: boolean
}

/**
 * Which tires for which run. Goals strictly in order: shoe the runs, the important ones before all; the best-matched
 * sets on the runs that matter; open few new sets; change few sets between a car's runs; change little of what people
 * know. Sets keep to the runs left in them and to the meeting's limits, and are never on two cars at once. Null when the solver found nothing in time.
 */
export function assignTires(input: TireInput, solver: MilpSolver, timeLimitSeconds = 10): TirePlan | null {
  const b = new MilpBuilder()
  const unshod = new Map<number, number>()
  const mismatch = new Map<number, number>()
  const newSets = new Map<number, number>()
  const changes = new Map<number, number>()
  const news = new Map<number, number>()
  const runs = [...input.runs].sort((x, y) => x.readyBy - y.readyBy)
  const sets = new Map(input.sets.map((s) => [s.id, s]))
  const columns: Column[] = []
  const without = new Map<TireRun, number>()
  for (const run of runs) {
    const pin = input.pins.find((p) => p.runId === run.id)
    const row: Entry[] = []
    for (const fit of run.fits) {
      const set = sets.get(fit.setId)
      if (!set || set.runsLeft < 1 || (pin && pin.setId !== set.id)) continue
      const column = b.column(1)
      columns.push({ run, set, column })
      row.push([column, 1])
      if (fit.mismatch) mismatch.set(column, fit.mismatch * run.importance)
      const known = input.known.find((k) => k.runId === run.id)
      if (known && known.setId !== set.id) news.set(column, 1)
    }
    const none = b.column(1)
    without.set(run, none)
    unshod.set(none, run.importance + 1)
    b.row(1, 1, [...row, [none, 1]])
  }
  const change = input.changeSeconds * 1000
  for (const set of input.sets) {
    const own = columns.filter((c) => c.set === set)
    if (own.length === 0) continue
    b.row(
      -Infinity,
      set.runsLeft,
      own.map((c): Entry => [c.column, 1]),
    )
    // On one car at a time: the runs that hold the set just before some run frees it exclude one another.
    for (const { run } of own) {
      const moment = run.freeAt + change
      const holding = own.filter((c) => c.run.readyBy < moment && c.run.freeAt + change >= moment)
      if (holding.length > 1)
        b.row(
          -Infinity,
          1,
          holding.map((c): Entry => [c.column, 1]),
        )
    }
  }
  for (const set of input.sets) {
    if (set.used) continue
    const own = columns.filter((c) => c.set === set)
    if (own.length === 0) continue
    const open = b.column(1)
    newSets.set(open, 1)
    for (const c of own)
      b.row(-Infinity, 0, [
        [c.column, 1],
        [open, -1],
      ])
  }
  for (const limit of input.limits) addLimit(b, limit, columns)
  for (const carId of new Set(runs.map((r) => r.carId))) {
    const own = runs.filter((r) => r.carId === carId)
    own.forEach((run, k) => {
      const before = own[k - 1]
      const fitted = input.onCars.filter((o) => o.carId === carId).map((o) => o.setId)
      if (!before) {
        // With nothing on the car, the first set goes on in any case.
        if (fitted.length)
          for (const c of columns) if (c.run === run && !fitted.includes(c.set.id)) changes.set(c.column, 1)
        return
      }
      for (const c of columns.filter((x) => x.run === run)) {
        const same = columns.find((x) => x.run === before && x.set === c.set)
        const changed = b.column(1)
        changes.set(changed, 1)
        b.row(-Infinity, 0, [[c.column, 1], ...(same ? [[same.column, -1] as const] : []), [changed, -1]])
      }
    })
  }
  if (runs.length === 0)
    return {
      uses: [],
      unshod: [],
      values: { unshod: 0, mismatch: 0, newSets: 0, changes: 0, news: 0 },
      proven: true,
    }
  const solved = solveGoals(b.milp, [unshod, mismatch, newSets, changes, news], solver, timeLimitSeconds)
  if (!solved) return null
  const on = (column: number): boolean => (solved.values[column] ?? 0) > 0.5
  const value = (k: number): number => solved.goals[k]?.value ?? 0
  return {
    uses: columns.filter((c) => on(c.column)).map((c) => ({ runId: c.run.id, setId: c.set.id })),
    unshod: runs
      .filter((r) => on(without.get(r) ?? -1))
      .map((run) => ({ runId: run.id, words: whyUnshod(input, run, sets) })),
    values: { unshod: value(0), mismatch: value(1), newSets: value(2), changes: value(3), news: value(4) },
    proven: solved.goals.every((g) => g.proven),
  }
}

interface Column {
  run: TireRun
  set: TireSet
  column: number
}

/** Sets that already count stay free to use; the others are counted as soon as one of the limit's runs takes them. */
function addLimit(b: MilpBuilder, limit: TireLimit, columns: readonly Column[]): void {
  const own = columns.filter((c) => c.run.limitId === limit.id && !limit.usedSetIds.includes(c.set.id))
  const counted: Entry[] = []
  for (const set of new Set(own.map((c) => c.set))) {
    const counts = b.column(1)
    counted.push([counts, 1])
    for (const c of own)
      if (c.set === set)
        b.row(-Infinity, 0, [
          [c.column, 1],
          [counts, -1],
        ])
  }
  if (counted.length) b.row(-Infinity, Math.max(0, limit.maxSets - limit.usedSetIds.length), counted)
}

function whyUnshod(input: TireInput, run: TireRun, sets: ReadonlyMap<string, TireSet>): string {
  const pin = input.pins.find((p) => p.runId === run.id)
  const fitting = run.fits
    .map((f) => sets.get(f.setId))
    .filter((s): s is TireSet => s !== undefined && (!pin || pin.setId === s.id))
  if (fitting.length === 0) return `${run.label}: no set of the team fits${pin ? ' the choice made' : ''}`
  const worn = fitting.every((s) => s.runsLeft < 1)
  if (worn) return `${run.label}: every set that fits is worn out`
  const limit = input.limits.find((l) => l.id === run.limitId)
  return limit
    ? `${run.label}: no set is left within ${limit.label} (${limit.maxSets} ${limit.maxSets === 1 ? 'set' : 'sets'})`
    : `${run.label}: every set that fits is needed by a run at the same time or has no runs left for it`
}
