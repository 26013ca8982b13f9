import type { ChargeInstance } from './charge-instance'
import type { ChargeModel, Entry, UseColumn } from './charge-model'
import type { Goal, GoalProof } from './charge-types'
import type { GoalPair } from './goal-costs'
import { addCosts, boundsOfPair, chosenValue, goalPairs, pairValue } from './goal-costs'
import type { Milp, MilpSolver } from '../solver/milp'
import { withRows } from '../solver/milp'
import { packCosts, packProgram, usesOf } from './pack-part'
import type { Chosen } from './timing'
import { brokenPairs, chosenOf, rematch, retime, timingCuts } from './timing'

export type SearchOutcome =
  { kind: 'found'; chosen: Chosen[]; proof: GoalProof[] } | { kind: 'impossible' } | { kind: 'undecided' }

interface Row {
  upper: number
  entries: Entry[]
}

/** A goal kept at a value while later ones are sought. */
interface Hold {
  goal: Goal
  upper: number
}

/** All goals count in whole units, so a bound within one unit of a plan proves it. */
const UNIT_GAP = 0.99
/** On trial, goals before the last pair need not be strictly dominant: a solution at all bounds is recognised as such. */
const TRIAL = { rounds: 4, weight: 100 }
const EPSILON = 1e-6

/**
 * The search behind a charge plan, by decomposition (logic-based Benders in spirit).
 *
 * 1. The pack part gives a bound for each goal in turn, and a choice of packs that attains them. The charges for that
 *    choice are timed exactly; where the whole then costs no more than the bounds, it is proven best.
 * 2. If not, the whole program is tried on the face of plans that could attain the bounds: reduced costs rule out
 *    every column that costs more, which leaves a fraction of it.
 * 3. What is still open is solved on the whole program, goal after goal.
 *
 * In 2 and 3 timing cuts are added for every broken pair until the solution is a real plan. Every bound comes from a
 * relaxation and every plan offered is a real one, so what is reported proven is.
 */
export class ChargeSearch {
  private best_: Chosen[] | null = null
  private goals: readonly Goal[] = []
  private pairs: GoalPair[] = []
  /** Lower bounds by goal, valid while all goals before are at their bounds too. */
  private readonly bounds = new Map<Goal, number>()
  /** Columns that no plan with every goal at its bound can use. */
  private readonly ruledOut = new Set<number>()
  private readonly cuts: Row[] = []
  private readonly cutKeys = new Set<string>()

  constructor(
    private readonly instance: ChargeInstance,
    private readonly model: ChargeModel,
    private readonly solver: MilpSolver,
    private readonly begin: number,
    private readonly timeLimitSeconds: number,
  ) {}

  best(goals: readonly Goal[]): SearchOutcome {
    if (this.instance.runs.length === 0)
      return {
        kind: 'found',
        chosen: [],
        proof: goals.map((goal) => ({ goal, value: 0, bound: 0, proven: true })),
      }
    const powered = new Set(this.model.uses.map((u) => u.run))
    if (powered.size < this.instance.runs.length) return { kind: 'impossible' }
    this.goals = goals
    this.pairs = goalPairs(this.model, this.instance, goals)
    if (this.boundByPacks() === 'impossible') return { kind: 'impossible' }
    if (!this.done()) this.onFace()
    if (!this.done() && this.onWhole() === 'impossible') return { kind: 'impossible' }
    if (!this.best_) return { kind: 'undecided' }
    return { kind: 'found', chosen: this.best_, proof: this.proof(this.best_) }
  }

  private left(): number {
    return Math.max(0.05, this.timeLimitSeconds - (performance.now() - this.begin) / 1000)
  }

  private get timeIsUp(): boolean {
    return this.left() <= 0.05
  }

  private valueOf(goal: Goal, chosen: readonly Chosen[]): number {
    return chosenValue(this.model, goal, chosen)
  }

  /** Keeps the better of two plans, in the order of the goals. */
  private offer(chosen: Chosen[] | null): void {
    if (!chosen || chosen.length !== this.instance.runs.length) return
    if (!this.best_) {
      this.best_ = chosen
      return
    }
    for (const goal of this.goals) {
      const change = this.valueOf(goal, chosen) - this.valueOf(goal, this.best_)
      if (change > 0) return
      if (change < 0) {
        this.best_ = chosen
        return
      }
    }
  }

  private proof(chosen: readonly Chosen[]): GoalProof[] {
    let open = false
    return this.goals.map((goal) => {
      const value = this.valueOf(goal, chosen)
      const bound = open ? 0 : Math.min(value, this.bounds.get(goal) ?? 0)
      if (bound < value) open = true
      return { goal, value, bound, proven: !open }
    })
  }

  private done(): boolean {
    return this.best_ !== null && this.proof(this.best_).every((p) => p.proven)
  }

  /** Costs of the charges in the order of the goals, for timing a given choice of packs. */
  private chargeCosts(): number[] {
    const cost = new Array<number>(this.model.milp.cost.length).fill(0)
    const timed = this.goals.filter((g) => g === 'held' || g === 'changes')
    timed.forEach((goal, k) => {
      const weight = k + 1 < timed.length ? this.greatestTimed(timed[k + 1]) + 1 : 1
      for (const c of this.model.charges)
        cost[c.column] = (cost[c.column] ?? 0) + weight * (this.model.costs[goal].get(c.column) ?? 0)
    })
    return cost
  }

  private greatestTimed(goal: Goal | undefined): number {
    if (!goal) return 0
    const perRun = new Map<unknown, number>()
    for (const c of this.model.charges)
      perRun.set(c.run, Math.max(perRun.get(c.run) ?? 0, this.model.costs[goal].get(c.column) ?? 0))
    return [...perRun.values()].reduce((a, b) => a + b, 0)
  }

  private time(uses: readonly UseColumn[]): void {
    this.offer(retime(this.instance, this.model, uses, this.chargeCosts(), this.solver, this.left()))
  }

  private boundByPacks(): 'impossible' | 'bounded' {
    let program = packProgram(this.model)
    let values: Float64Array | null = null
    const solved: { priced: Milp; best: number }[] = []
    for (const pair of this.pairs.length ? this.pairs : [{ goals: [], weights: [] }]) {
      const costs = new Map(pair.goals.map((g) => [g, packCosts(this.model, g)]))
      const cost = addCosts(
        new Array<number>(program.cost.length).fill(0),
        pair,
        (g) => costs.get(g) ?? new Map(),
      )
      const limits = { timeLimitSeconds: this.left() * 0.4, absoluteGap: UNIT_GAP, relativeGap: 0 }
      const found = this.solver.solve({ ...program, cost }, limits)
      if (found.status === 'infeasible' && !values) return 'impossible'
      const solution = found.values
      if (!solution) break
      values = solution
      const reached = pair.goals.map((g) => {
        let sum = 0
        for (const [column, c] of costs.get(g) ?? []) sum += c * (solution[column] ?? 0)
        return Math.round(sum)
      })
      boundsOfPair(pair, found.bound, reached).forEach((bound, k) => {
        const goal = pair.goals[k]
        if (goal) this.bounds.set(goal, bound)
      })
      // Values not proven best must not be held: a bound found below them would be none.
      if (found.status !== 'optimal') break
      const best = pair.goals.reduce((sum, _, k) => sum + (pair.weights[k] ?? 1) * (reached[k] ?? 0), 0)
      solved.push({ priced: { ...program, cost }, best })
      program = withRows(
        program,
        pair.goals.map((g, k) => ({ upper: reached[k] ?? 0, entries: [...(costs.get(g) ?? [])] })),
      )
    }
    if (values) this.time(usesOf(this.model, values))
    if (!this.done()) for (const { priced, best } of solved) this.ruleOut(priced, best)
    return 'bounded'
  }

  /** Columns whose reduced cost alone would lift the relaxation above the best are in no best plan. */
  private ruleOut(priced: Milp, best: number): void {
    const relaxed = this.solver.solve(
      { ...priced, integer: priced.integer.map(() => false) },
      { timeLimitSeconds: this.left(), absoluteGap: 0, relativeGap: 0 },
    )
    relaxed.reducedCosts?.forEach((reduced, column) => {
      if (reduced > best - relaxed.objective + EPSILON * Math.max(1, best)) this.ruledOut.add(column)
    })
  }

  /** Step 2: a plan with every goal at its bound, if there is one. */
  private onFace(): void {
    if (!this.goals.every((g) => this.bounds.has(g)) || this.pairs.length === 0) return
    const { milp } = this.model
    const able = new Set<string>()
    for (const u of this.model.uses)
      if (!this.ruledOut.has(u.column)) able.add(`${u.run.run.id}/${u.classKey ?? ''}`)
    const upper = milp.upper.map((u, column) => (this.ruledOut.has(column) ? 0 : u))
    for (const c of this.model.charges) if (!able.has(`${c.run.run.id}/${c.classKey}`)) upper[c.column] = 0
    let cost = new Array<number>(milp.cost.length).fill(0)
    let target = 0
    this.pairs.forEach((pair, k) => {
      if (k > 0) {
        cost = cost.map((c) => c * TRIAL.weight)
        target *= TRIAL.weight
      }
      addCosts(cost, pair, (g) => this.model.costs[g])
      target += pairValue(pair, (g) => this.bounds.get(g) ?? 0)
    })
    for (let round = 0; round < TRIAL.rounds && !this.timeIsUp; round++) {
      const found = this.solver.solve(withRows({ ...milp, cost, upper }, this.cuts), {
        timeLimitSeconds: this.left() * 0.5,
        absoluteGap: UNIT_GAP,
        relativeGap: 0,
      })
      if (!found.values) return
      const chosen = chosenOf(this.model, found.values)
      this.time(chosen.map((c) => c.use))
      // Even the relaxation cannot attain all bounds: the whole program has to say which of them give way.
      if (this.done() || found.bound > target + EPSILON * Math.max(1, target)) return
      const before = this.cuts.length
      for (const b of brokenPairs(this.instance, chosen))
        this.cuts.push(...timingCuts(this.model, b.before, b.after, this.cutKeys))
      if (this.cuts.length === before) return
    }
  }

  /**
   * Takes a better bound for a pair. Bounds of later goals were found under the old one; where it rises they say
   * nothing any more.
   */
  private raise(pair: GoalPair, bounds: readonly number[]): void {
    let forget = false
    for (const goal of this.goals) {
      const k = pair.goals.indexOf(goal)
      const old = this.bounds.get(goal) ?? 0
      if (forget) this.bounds.delete(goal)
      const now = k < 0 ? null : (bounds[k] ?? 0)
      if (now === null) continue
      if (now > old || forget) {
        this.bounds.set(goal, now)
        forget ||= now > old
      }
    }
  }

  private onWhole(): 'impossible' | 'searched' {
    const { pairs } = this
    if (pairs.length === 0) {
      // Any plan will do; the goal of short waiting only guides the solver.
      return this.solvePair({ goals: ['held'], weights: [1] }, []) === 'impossible'
        ? 'impossible'
        : 'searched'
    }
    // On trial: the last pair's best with all goals before it at their bounds. Mostly that exists and settles all.
    const last = pairs[pairs.length - 1]
    const before = this.goals.slice(0, this.goals.length - (last?.goals.length ?? 0))
    if (last && before.length && before.every((g) => this.bounds.has(g)))
      this.solvePair(
        last,
        before.map((goal) => ({ goal, upper: this.bounds.get(goal) ?? 0 })),
      )
    const settled: Goal[] = []
    for (const pair of pairs) {
      if (this.timeIsUp) break
      const isProven = (): boolean => {
        const mine = this.best_
        return mine !== null && this.proof(mine).every((p) => !pair.goals.includes(p.goal) || p.proven)
      }
      if (!isProven()) {
        const mine = this.best_ ?? []
        const outcome = this.solvePair(
          pair,
          settled.map((goal) => ({ goal, upper: this.valueOf(goal, mine) })),
        )
        if (outcome === 'impossible' && settled.length === 0) return 'impossible'
        if (!isProven()) break
      }
      settled.push(...pair.goals)
    }
    return 'searched'
  }

  /** Solves one pair of goals on the whole program under held goals, cutting until the solution is a plan. */
  private solvePair(pair: GoalPair, holds: readonly Hold[]): 'impossible' | 'solved' | 'stopped' {
    const cost = addCosts(
      new Array<number>(this.model.milp.cost.length).fill(0),
      pair,
      (g) => this.model.costs[g],
    )
    for (;;) {
      if (this.timeIsUp) return 'stopped'
      const held = holds.map((h): Row => ({ upper: h.upper, entries: [...this.model.costs[h.goal]] }))
      const program: Milp = withRows({ ...this.model.milp, cost }, [...held, ...this.cuts])
      const found = this.solver.solve(program, {
        timeLimitSeconds: this.left(),
        absoluteGap: this.pairs.length === 0 ? 1e9 : UNIT_GAP,
        relativeGap: this.pairs.length === 0 ? 1e9 : 0,
      })
      if (found.status === 'infeasible') return 'impossible'
      if (!found.values) return 'stopped'
      const chosen = chosenOf(this.model, found.values)
      const broken = brokenPairs(this.instance, chosen)
      if (broken.length === 0) this.offer(chosen)
      else {
        this.time(chosen.map((c) => c.use))
        this.offer(rematch(this.instance, this.model, chosen, cost, this.solver, this.left()))
      }
      const mine = this.best_
      if (mine && this.pairs.length === 0) return 'solved'
      if (mine && holds.every((h) => this.valueOf(h.goal, mine) <= h.upper)) {
        const values = pair.goals.map((g) => this.valueOf(g, mine))
        this.raise(pair, boundsOfPair(pair, found.bound, values))
        if (pairValue(pair, (g) => this.valueOf(g, mine)) - found.bound < 1 - 1e-5) return 'solved'
      }
      if (found.status !== 'optimal') return 'stopped'
      const before = this.cuts.length
      for (const b of broken) this.cuts.push(...timingCuts(this.model, b.before, b.after, this.cutKeys))
      // A plan without broken pairs that is not the best known one cannot be: it was just offered.
      if (this.cuts.length === before) return 'stopped'
    }
  }
}
