import type { ChargePlan, ChargePlanInput, PlannedUse } from './charge-types'
import { defaultGoals } from './charge-types'
import { checkPlan } from './check'
import { goalValues } from './goal-values'
import { greedyPlan } from './greedy-plan'
import type { SolveOptions } from './solve-charge-plan'
import { solveChargePlan } from './solve-charge-plan'
import type { MilpSolver } from '../solver/milp'

/** A plan for some of the runs: the best found, without a proof that no other set of runs would be better. */
export interface PartialPlan {
  /** Holds for the runs that are in it; its goals and proof are of those runs. */
  plan: ChargePlan
  /** The runs that it leaves out, in order of time. */
  leftOut: string[]
}

/** Leaving out a final is worse than leaving out several practice runs. */
const WORTH_OF_A_RUN = 1
/** Trials of leaving out another run instead; each takes some milliseconds. */
const MOST_TRIALS = 400

/**
 * The best plan that can be found at once for a day of which not every run can be powered, or could not in the time given. Runs that
 * matter more are left out last. What is left of the time goes into making the plan for the other runs better. Null when no run at all
 * can be powered.
 */
export function partialPlan(
  input: ChargePlanInput,
  solver: MilpSolver,
  options: Pick<SolveOptions, 'timeLimitSeconds'>,
): PartialPlan | null {
  const best = fewestLeftOut(input)
  if (!best) return null
  const runs = input.runs.filter((r) => !best.leftOut.includes(r.id))
  const rest = { ...input, runs }
  const better = solveChargePlan(rest, solver, options)
  const leftOut = [...input.runs]
    .filter((r) => best.leftOut.includes(r.id))
    .sort((a, b) => a.readyBy - b.readyBy)
    .map((r) => r.id)
  return { plan: better.kind === 'planned' ? better.plan : unproven(rest, best.uses), leftOut }
}

interface Found {
  uses: PlannedUse[]
  leftOut: string[]
  cost: number
}

/** Careful plans that skip what they can't power; then, one at a time, another run left out on purpose where that helps a later one. */
function fewestLeftOut(input: ChargePlanInput): Found | null {
  const worth = new Map(input.runs.map((r) => [r.id, WORTH_OF_A_RUN + r.importance]))
  const costOf = (ids: readonly string[]): number => ids.reduce((sum, id) => sum + (worth.get(id) ?? 0), 0)
  const attempt = (without: ReadonlySet<string>): Found | null => {
    const day = { ...input, runs: input.runs.filter((r) => !without.has(r.id)) }
    let found: Found | null = null
    for (const charge of ['soon', 'late'] as const) {
      const { uses, leftOut: skipped } = greedyPlan(day, { charge, skip: true })
      const leftOut = [...without, ...skipped]
      const cost = costOf(leftOut)
      const holds = (): boolean => checkPlan(onlyRuns(input, uses), uses).length === 0
      if ((!found || cost < found.cost) && uses.length > 0 && holds()) found = { uses, leftOut, cost }
    }
    return found
  }
  let best = attempt(new Set())
  if (!best) return null
  const without = new Set<string>()
  let trials = 0
  for (let improved = true; improved && best.leftOut.length > without.size && trials < MOST_TRIALS;) {
    improved = false
    const dearest = Math.max(...best.leftOut.map((id) => worth.get(id) ?? 0))
    const cheaper = input.runs
      .filter((r) => !best?.leftOut.includes(r.id) && (worth.get(r.id) ?? 0) < dearest)
      .sort((a, b) => (worth.get(a.id) ?? 0) - (worth.get(b.id) ?? 0) || b.readyBy - a.readyBy)
    for (const run of cheaper) {
      if (++trials > MOST_TRIALS) break
      const found = attempt(new Set([...without, run.id]))
      if (!found || found.cost >= best.cost) continue
      best = found
      without.add(run.id)
      improved = true
      break
    }
  }
  return best
}

const onlyRuns = (input: ChargePlanInput, uses: readonly PlannedUse[]): ChargePlanInput => {
  const ids = new Set(uses.map((u) => u.runId))
  return {
    ...input,
    runs: input.runs.filter((r) => ids.has(r.id)),
    pins: input.pins.filter((p) => ids.has(p.runId)),
  }
}

function unproven(input: ChargePlanInput, uses: PlannedUse[]): ChargePlan {
  const values = goalValues(input, uses)
  const used = new Set(uses.map((u) => u.packId))
  return {
    uses,
    values,
    proof: (input.goals ?? defaultGoals).map((goal) => ({
      goal,
      value: values[goal],
      bound: 0,
      proven: false,
    })),
    proven: false,
    afterDay: input.packs
      .filter((p) => used.has(p.id) || p.state === 'full')
      .map((p) => ({ packId: p.id, need: used.has(p.id) ? 'charge' : 'discharge' })),
  }
}
