import loadHighs from 'highs'
import { describe, expect, it } from 'vitest'
import { chargeDay } from '../../support/planner-charge-days'
import { seededRandom } from '../../support/planner-forecast-days'
import type { ChargePlanInput } from '@/lib/planner'
import { checkPlan, highsSolver, solveChargePlan } from '@/lib/planner'
import { packBounds } from '@/lib/planner/charge/pack-bounds'
import type { Milp } from '@/lib/planner/solver/milp'
import { MilpBuilder, relaxation, withCost } from '@/lib/planner/solver/milp'
import { narrowed } from '@/lib/planner/solver/narrowed'

const solver = highsSolver(await loadHighs())
const COLUMNS = 9
const left = (): number => 30

/** A small program of zeros and ones with whole rows, and three goals of whole costs. */
function randomProgram(seed: number): { milp: Milp; goals: Map<number, number>[] } {
  const u = seededRandom(seed * 104_729 + 7)
  const whole = (from: number, to: number): number => from + Math.floor(u() * (to - from + 1))
  const b = new MilpBuilder()
  for (let i = 0; i < COLUMNS; i++) b.column(1)
  for (let r = whole(3, 7); r > 0; r--) {
    const entries = Array.from({ length: COLUMNS }, (_, i) => [i, whole(-1, 1)] as const).filter(
      ([, v]) => v !== 0 && u() < 0.6,
    )
    const lower = u() < 0.7 ? whole(-1, 2) : -Infinity
    b.row(lower, u() < 0.4 ? Math.max(lower, whole(0, 2)) : Infinity, entries)
  }
  const goals = [0, 1, 2].map(
    () =>
      new Map(Array.from({ length: COLUMNS }, (_, i) => [i, whole(0, 4)] as const).filter(([, c]) => c > 0)),
  )
  return { milp: b.milp, goals }
}

/** Every solution of a program, one after another. */
function solutionsOf(milp: Milp): number[][] {
  const found: number[][] = []
  for (let bits = 0; bits < 2 ** COLUMNS; bits++) {
    const x = Array.from({ length: COLUMNS }, (_, i) => (bits >> i) & 1)
    const within = x.every((v, i) => v >= milp.lower[i]! && v <= milp.upper[i]!)
    const kept = milp.rowLower.every((lower, row) => {
      let sum = 0
      for (let k = milp.rowStart[row]!; k < milp.rowStart[row + 1]!; k++)
        sum += milp.value[k]! * x[milp.index[k]!]!
      return sum >= lower && sum <= milp.rowUpper[row]!
    })
    if (within && kept) found.push(x)
  }
  return found
}

const costOf = (goal: ReadonlyMap<number, number>, x: readonly number[]): number =>
  [...goal].reduce((sum, [column, c]) => sum + c * x[column]!, 0)

describe('narrowed program', () => {
  it('keeps exactly the solutions that cost no more than the target', () => {
    let narrowings = 0
    for (let seed = 1; seed <= 150; seed++) {
      const { milp, goals } = randomProgram(seed)
      const goal = goals[0]!
      const relaxed = solver.solve(relaxation(withCost(milp, goal)), {
        timeLimitSeconds: 5,
        absoluteGap: 0,
        relativeGap: 0,
      })
      if (relaxed.status !== 'optimal') continue
      const all = solutionsOf(milp)
      const lowest = Math.ceil(relaxed.objective - 1e-6)
      for (const target of [lowest, lowest + 1, lowest + 3]) {
        const kept = solutionsOf(narrowed(milp, relaxed, goal, target))
        expect(kept, `seed ${seed}, target ${target}`).toEqual(all.filter((x) => costOf(goal, x) <= target))
        if (kept.length < all.length) narrowings++
      }
    }
    expect(narrowings).toBeGreaterThan(100)
  })
})

describe('bounds of goals in turn', () => {
  const best = (all: readonly number[][], goals: readonly ReadonlyMap<number, number>[]): number[] => {
    let rest = [...all]
    return goals.map((goal) => {
      const least = Math.min(...rest.map((x) => costOf(goal, x)))
      rest = rest.filter((x) => costOf(goal, x) === least)
      return least
    })
  }

  it('are the least values, one goal after another, or say that there is no solution', () => {
    let impossible = 0
    for (let seed = 1; seed <= 200; seed++) {
      const { milp, goals } = randomProgram(seed)
      const all = solutionsOf(milp)
      const found = packBounds(milp, goals, [], solver, left)
      expect(found.kind, `seed ${seed}`).toBe(all.length ? 'bounded' : 'impossible')
      if (all.length === 0) impossible++
      else {
        expect(found.bounds, `seed ${seed}`).toEqual(best(all, goals))
        const x = Array.from(found.values!, Math.round)
        expect(goals.map((g) => costOf(g, x))).toEqual(found.bounds)
      }
    }
    expect(impossible).toBeGreaterThan(10)
    expect(impossible).toBeLessThan(190)
  })

  it('begin behind goals whose values are given', () => {
    for (let seed = 1; seed <= 80; seed++) {
      const { milp, goals } = randomProgram(seed)
      const all = solutionsOf(milp)
      if (all.length === 0) continue
      const given = best(all, goals)[0]! + 1
      const within = all.filter((x) => costOf(goals[0]!, x) <= given)
      const found = packBounds(milp, goals, [given], solver, left)
      expect(found.bounds, `seed ${seed}`).toEqual([given, ...best(within, goals.slice(1))])
    }
  })

  it('are no more than bounds when there is no time', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const { milp, goals } = randomProgram(seed)
      const all = solutionsOf(milp)
      if (all.length === 0) continue
      const found = packBounds(milp, goals, [], solver, () => 1e-9)
      const truth = best(all, goals)
      expect(found.kind).toBe('bounded')
      const off = found.bounds.findIndex((b, k) => b !== truth[k])
      if (off >= 0) expect(found.bounds[off]).toBeLessThan(truth[off]!)
    }
  })
})

describe('a day with little power', () => {
  const size = { cars: 6, rounds: 3, packs: 8, channels: 2, wattsPerChannel: 72 }
  const shuffled = (input: ChargePlanInput, seed: number): ChargePlanInput => {
    const u = seededRandom(seed)
    const mixed = <T>(list: readonly T[]): T[] =>
      list
        .map((item) => ({ item, at: u() }))
        .sort((a, b) => a.at - b.at)
        .map((x) => x.item)
    return {
      ...input,
      packs: mixed(input.packs),
      channels: mixed(input.channels),
      runs: mixed(input.runs).map((r) => ({ ...r, fits: mixed(r.fits) })),
    }
  }

  it('has the same values whatever order it is written in, all proven, and keeps the rules', () => {
    let raised = 0
    for (const seed of [2, 4, 6, 9]) {
      const input = chargeDay(seed, size)
      const outcomes = [input, shuffled(input, seed)].map((day) => {
        const outcome = solveChargePlan(day, solver, { timeLimitSeconds: 60 })
        if (outcome.kind !== 'planned') return outcome.kind
        expect(outcome.plan.proven).toBe(true)
        expect(checkPlan(day, outcome.plan.uses)).toEqual([])
        return String(Object.values(outcome.plan.values))
      })
      expect(new Set(outcomes).size, `seed ${seed}: ${outcomes.join(' | ')}`).toBe(1)
      const free = solveChargePlan(
        { ...input, supplies: input.supplies.map((s) => ({ ...s, maxWatts: 10_000 })) },
        solver,
        { timeLimitSeconds: 60 },
      )
      if (free.kind === 'planned' && String(Object.values(free.plan.values)) !== outcomes[0]) raised++
    }
    // The power must matter on some of them, or the day says nothing of the charges.
    expect(raised).toBeGreaterThan(0)
  })

  it('has bounds that hold whenever time runs out', () => {
    for (const seed of [2, 4, 6, 9]) {
      const input = chargeDay(seed, size)
      const whole = solveChargePlan(input, solver, { timeLimitSeconds: 60 })
      if (whole.kind !== 'planned') throw new Error(whole.kind)
      const truth = whole.plan.proof.map((p) => p.value)
      for (const timeLimitSeconds of [0.02, 0.05, 0.1, 0.2, 0.4]) {
        const outcome = solveChargePlan(input, solver, { timeLimitSeconds })
        if (outcome.kind === 'undecided') continue
        if (outcome.kind !== 'planned') throw new Error(`seed ${seed}: ${outcome.kind}`)
        expect(checkPlan(input, outcome.plan.uses)).toEqual([])
        const { proof } = outcome.plan
        const open = proof.findIndex((p) => !p.proven)
        const proven = open < 0 ? proof.length : open
        expect(proof.slice(0, proven).map((p) => p.value)).toEqual(truth.slice(0, proven))
        if (open >= 0) {
          expect(proof[open]!.bound, `seed ${seed}`).toBeLessThanOrEqual(truth[open]!)
          expect(proof[open]!.value, `seed ${seed}`).toBeGreaterThanOrEqual(truth[open]!)
        }
      }
    }
  })
})
