import { BestPlan } from './best-plan'
import type { UseColumn } from './charge-columns'
import type { ChargeInstance } from './charge-instance'
import type { ChargeModel } from './charge-model'
import type { Goal, GoalProof } from './charge-types'
import { greedyChosen } from './greedy-chosen'
import type { PackBounds } from './pack-bounds'
import { UNIT_GAP, packBounds, roundedUp } from './pack-bounds'
import { packCosts, packProgram, usesOf } from './pack-part'
import { chargeCosts, retime } from './retime'
import type { Milp, MilpRow, MilpSolver } from '../solver/milp'
import { relaxation, withCost, withRows } from '../solver/milp'
import { narrowed } from '../solver/narrowed'
import type { Chosen } from './timing'
import { tooFewCharges } from './too-few-charges'
import { brokenPairs, chosenOf, everyTimingCut, rematch, timingCuts } from './timing'
import type { HeldGoal } from './whole-program'
import { wholeOnFace } from './whole-program'

export type SearchOutcome =
  { kind: 'found'; chosen: Chosen[]; proof: GoalProof[] } | { kind: 'impossible' } | { kind: 'undecided' }

/** The share of the time left that one search may take while others could follow. */
const SHARE = 0.5
/** The same where mostly nothing follows. */
const RAISE_SHARE = 0.8
/** Without timing cuts a solution is quickly found; its packs, timed anew, may do. So often that is tried, and how long. */
const BARE_TRIALS = 4
const BARE_SHARE = 0.3
/** How far about a run that cannot be charged other runs are chosen anew, in steps. */
const REPAIR_STEPS = [12, 24, 40]
/** The share of the time left for each of those. */
const REPAIR_SHARE = 0.2

/**
 * The search behind a charge plan, by decomposition (logic-based Benders in spirit).
 *
 * 1. The pack part gives a bound for each goal in turn, and a choice of packs that attains them all. The charges for
 *    that choice are timed exactly; where the whole then costs no more than the bounds, it is proven best.
 * 2. If not, a plan with every goal at its bound is sought on the whole program, narrowed to where such a plan can be:
 *    near that choice of packs first, then everywhere.
 * 3. Where there is none, the last goal that has to give way is raised to its least on the whole program, and the
 *    goals after it begin again at 1.
 *
 * In 2 and 3 timing cuts are added for every broken pair until the solution is a real plan. Every bound comes from a
 * relaxation and every plan offered is a real one, so what is reported proven is.
 */
export class ChargeSearch {
  private readonly best: BestPlan
  private trials = 0
  private readonly cuts: MilpRow[] = []
  private readonly cutKeys = new Set<string>()

  constructor(
    private readonly instance: ChargeInstance,
    private readonly model: ChargeModel,
    goals: readonly Goal[],
    private readonly solver: MilpSolver,
    private readonly begin: number,
    private readonly timeLimitSeconds: number,
  ) {
    this.best = new BestPlan(model, instance.runs.length, goals)
  }

  /** The best plan, proven or not, or that there is none. Without goals, any plan. */
  run(): SearchOutcome {
    const { instance, model, best } = this
    if (instance.runs.length === 0) return { kind: 'found', chosen: [], proof: best.proof([]) }
    const powered = new Set(model.uses.map((u) => u.run))
    if (powered.size < instance.runs.length) return { kind: 'impossible' }
    if (tooFewCharges(instance)) return { kind: 'impossible' }
    if (instance.dropped.size === 0) {
      best.offer(greedyChosen(instance, model, 'soon'))
      if (best.goals.length === 0 && best.plan) return { kind: 'found', chosen: best.plan, proof: [] }
      best.offer(greedyChosen(instance, model, 'late'))
    }
    if (this.search() === 'impossible') return { kind: 'impossible' }
    const { plan } = best
    return plan ? { kind: 'found', chosen: plan, proof: best.proof(plan) } : { kind: 'undecided' }
  }

  private search(): 'impossible' | 'searched' {
    const program = packProgram(this.model)
    const costs = this.best.active.map((g) => packCosts(this.model, g))
    let given: number[] = []
    for (;;) {
      const pack = packBounds(program, costs, given, this.solver, () => this.left())
      if (pack.kind === 'impossible') return 'impossible'
      this.best.active.forEach((goal, k) => {
        const bound = pack.bounds[k]
        if (bound === undefined) this.best.bounds.delete(goal)
        else this.best.bounds.set(goal, bound)
      })
      if (pack.values) this.time(usesOf(this.model, pack.values))
      if (this.best.isProven() || this.timeIsUp) return 'searched'
      if (this.best.active.length === 0) return this.anyPlan(program)
      if (pack.values === null || pack.bounds.length < this.best.active.length) {
        this.improve(pack, given.length)
        return 'searched'
      }
      if (this.attain(pack, costs, given.length) !== 'empty') return 'searched'
      const raised = this.raise(pack, given.length)
      if (raised === 'stopped') return 'searched'
      if (raised === null) return given.length === 0 ? 'impossible' : 'searched'
      if (this.best.isProven()) return 'searched'
      given = this.best.active.slice(0, raised + 1).map((g) => this.best.bounds.get(g) ?? 0)
    }
  }

  private left(): number {
    return Math.max(0.05, this.timeLimitSeconds - (performance.now() - this.begin) / 1000)
  }

  private get timeIsUp(): boolean {
    return this.left() <= 0.05
  }

  private time(uses: readonly UseColumn[]): void {
    this.best.offer(
      retime(
        this.instance,
        this.model,
        uses,
        chargeCosts(this.model, this.best.goals),
        this.solver,
        this.left(),
      ),
    )
  }

  /** Goals before the k-th, held at their bounds. */
  private heldBefore(k: number, pack: PackBounds): HeldGoal[] {
    return this.best.active.slice(0, k).map((goal, i) => ({
      goal,
      cost: this.best.bounds.get(goal) ?? 0,
      least: pack.least[i] ?? 0,
    }))
  }

  /** Step 2: a plan with every goal at its bound, if there is one. */
  private attain(
    pack: PackBounds,
    costs: readonly ReadonlyMap<number, number>[],
    given: number,
  ): 'empty' | 'ended' {
    const n = this.best.active.length
    const face = pack.faces[n - 1]
    const cost = costs[n - 1]
    if (!face || !cost) return 'ended'
    const relaxed = this.solver.solve(relaxation(withCost(face, cost)), {
      timeLimitSeconds: this.left(),
      absoluteGap: 0,
      relativeGap: 0,
    })
    if (relaxed.status !== 'optimal') return 'ended'
    const narrow = narrowed(face, relaxed, cost, pack.bounds[n - 1] ?? 0)
    const program = wholeOnFace(this.model, narrow, this.heldBefore(n, pack))
    if (pack.values) this.repair(program, n, usesOf(this.model, pack.values))
    if (this.best.isProven()) return 'ended'
    let outcome = this.solveWhole(program, n)
    if (outcome === 'stopped') {
      for (let i = 0; i < BARE_TRIALS && !this.best.provenUpTo(n - 2); i++)
        this.solveWhole(program, n, { share: BARE_SHARE, bare: true })
      this.improve(pack, given)
      outcome = this.solveWhole(program, n, { share: 1 })
    }
    return outcome === 'impossible' ? 'empty' : 'ended'
  }

  /**
   * A choice of packs of which some cannot be charged: only the runs about those are chosen anew, more and more of
   * them. A small part of the search that mostly finds a plan, and proves nothing when it does not.
   */
  private repair(program: Milp, k: number, uses: readonly UseColumn[]): void {
    const timed = retime(
      this.instance,
      this.model,
      uses,
      chargeCosts(this.model, this.best.goals),
      this.solver,
      this.left() * SHARE,
      true,
    )
    const left = (timed ?? [])
      .filter((c) => c.use.classKey !== null && c.charge === null)
      .map((c) => c.use.run)
    if (left.length === 0) return
    for (const steps of REPAIR_STEPS) {
      const fixed = uses.filter((u) => left.every((r) => Math.abs(r.ready - u.run.ready) > steps))
      if (fixed.length === 0 || this.timeIsUp) return
      const lower = [...program.lower]
      for (const u of fixed) lower[u.column] = 1
      if (this.solveWhole({ ...program, lower }, k, { share: REPAIR_SHARE, part: true }) === 'solved') return
    }
  }

  /** Step 3: the last goal that has to give way, raised to its least. Null when there is no plan at all. */
  private raise(pack: PackBounds, given: number): number | 'stopped' | null {
    for (let k = this.best.active.length - 1; k >= given; k--) {
      const face = pack.faces[k]
      const goal = this.best.active[k]
      if (!face || !goal) return 'stopped'
      // What was just shown: nothing is at or below this goal's bound.
      this.best.lift(k, (pack.bounds[k] ?? 0) + 1)
      const atLeast: MilpRow = {
        lower: this.best.bounds.get(goal) ?? 0,
        upper: Infinity,
        entries: [...this.model.costs[goal]],
      }
      const program = withRows(wholeOnFace(this.model, face, this.heldBefore(k, pack)), [atLeast])
      const outcome = this.solveWhole(program, k, { share: k > given ? RAISE_SHARE : 1 })
      if (outcome === 'stopped') return 'stopped'
      if (outcome === 'solved') return k
    }
    return null
  }

  /** When a step ran out of time: as good a plan as can be found in what is left, the last goals given way first. */
  private improve(pack: PackBounds, given: number): void {
    for (let k = this.best.active.length - 1; k >= given && !this.timeIsUp; k--) {
      const face = pack.faces[k]
      if (k > 0 && this.best.provenUpTo(k - 1)) return
      if (!face) continue
      const program = wholeOnFace(this.model, face, this.heldBefore(k, pack))
      if (pack.values) this.repair(program, k, usesOf(this.model, pack.values))
      if (k === 0 || !this.best.provenUpTo(k - 1)) this.solveWhole(program, k)
    }
    const [program] = pack.faces
    if (!this.best.plan && program) this.anyPlan(program)
  }

  /**
   * Costs that mean nothing, others each time. Where any solution will do, they give the relaxation a corner to be in;
   * without them it is fractional throughout, and takes several times as long to round.
   */
  private unevenly(program: Milp): Milp {
    this.trials++
    return {
      ...program,
      cost: program.upper.map((u, column) => (u === 1 ? (column * 7919 * this.trials) % 13 : 0)),
    }
  }

  /** Any plan will do; the goal of short waiting only guides the solver. */
  private anyPlan(program: Milp): 'impossible' | 'searched' {
    const whole = withCost(wholeOnFace(this.model, program, []), this.model.costs.held)
    return this.solveWhole(whole, this.best.active.length, { share: 1, any: true }) === 'impossible'
      ? 'impossible'
      : 'searched'
  }

  /**
   * The least of the k-th goal on the whole program (any solution, when there is no such goal), cutting until the
   * solution is a plan. Of a `part` of the program it proves nothing, and is content with goals before at their bounds.
   */
  private solveWhole(
    program: Milp,
    k: number,
    { share = k > 0 ? SHARE : 1, any = false, part = false, bare = false } = {},
  ): 'impossible' | 'solved' | 'stopped' {
    const goal = this.best.active[k]
    const priced = goal ? withCost(program, this.model.costs[goal]) : program
    const isAny = any || !goal
    for (;;) {
      if (this.timeIsUp) return 'stopped'
      const cuts = bare ? [] : this.cuts
      const found = this.solver.solve(withRows(goal || any ? priced : this.unevenly(priced), cuts), {
        timeLimitSeconds: this.left() * share,
        absoluteGap: isAny ? 1e9 : UNIT_GAP,
        relativeGap: isAny ? 1e9 : 0,
      })
      if (found.status === 'infeasible') return 'impossible'
      if (goal && !part) this.best.lift(k, roundedUp(found.bound))
      if (!found.values) return 'stopped'
      const chosen = chosenOf(this.model, found.values)
      const broken = brokenPairs(this.instance, chosen)
      if (broken.length === 0) this.best.offer(chosen)
      else {
        this.time(chosen.map((c) => c.use))
        if (!this.best.provenUpTo(k))
          this.best.offer(
            rematch(this.instance, this.model, chosen, this.best.active, this.solver, this.left()),
          )
      }
      if (this.best.plan && (any || this.best.provenUpTo(part ? k - 1 : k))) return 'solved'
      if (found.status !== 'optimal' || bare) return 'stopped'
      const before = this.cuts.length
      for (const b of broken) this.cuts.push(...timingCuts(this.model, b.before, b.after, this.cutKeys))
      if (!any) this.cuts.push(...everyTimingCut(this.instance, this.model, program.upper, this.cutKeys))
      // A plan without broken pairs that is not the best known one cannot be: it was just offered.
      if (this.cuts.length === before) return 'stopped'
    }
  }
}
