import type { ChargeModel } from './charge-model'
import type { Goal, GoalProof } from './charge-types'
import { chosenCost, valueOfCost } from './goal-costs'
import type { Chosen } from './timing'

/** The best plan of a search so far, and how much better a plan could be. */
export class BestPlan {
  plan: Chosen[] | null = null
  /** The goals that can cost anything at all. */
  readonly active: readonly Goal[]
  /** Lower bounds by goal, in the model's units, valid while all goals before are at their bounds too. */
  readonly bounds = new Map<Goal, number>()

  constructor(
    private readonly model: ChargeModel,
    private readonly runs: number,
    readonly goals: readonly Goal[],
  ) {
    this.active = goals.filter((g) => model.costs[g].size > 0)
  }

  /** Keeps the better of two plans, in the order of the goals. */
  offer(chosen: Chosen[] | null): void {
    if (!chosen || chosen.length !== this.runs) return
    if (!this.plan) {
      this.plan = chosen
      return
    }
    for (const goal of this.goals) {
      const change = this.costOf(goal, chosen) - this.costOf(goal, this.plan)
      if (change > 0) return
      if (change < 0) {
        this.plan = chosen
        return
      }
    }
  }

  proof(chosen: readonly Chosen[]): GoalProof[] {
    let open = false
    return this.goals.map((goal) => {
      const cost = this.costOf(goal, chosen)
      const least = open ? 0 : Math.min(cost, this.bounds.get(goal) ?? 0)
      if (least < cost) open = true
      return {
        goal,
        value: valueOfCost(goal, cost, this.runs),
        bound: valueOfCost(goal, least, this.runs),
        proven: !open,
      }
    })
  }

  isProven(): boolean {
    return this.plan !== null && this.proof(this.plan).every((p) => p.proven)
  }

  /** Whether the goals up to and with the k-th active one are proven. */
  provenUpTo(k: number): boolean {
    if (!this.plan) return false
    const upTo = new Set(this.active.slice(0, k + 1))
    return this.proof(this.plan).every((p) => !upTo.has(p.goal) || p.proven)
  }

  /** Takes a better bound for a goal. Bounds of later goals were found under the old one and say nothing any more. */
  lift(k: number, bound: number): void {
    const goal = this.active[k]
    if (!goal || bound <= (this.bounds.get(goal) ?? -1)) return
    this.bounds.set(goal, bound)
    for (const later of this.active.slice(k + 1)) this.bounds.delete(later)
  }

  private costOf(goal: Goal, chosen: readonly Chosen[]): number {
    return chosenCost(this.model, goal, chosen)
  }
}
