import type { ChargePlanInput, ChargePlanOutcome, PartialPlan, PlannedUse, WayOut } from '@/lib/planner'

export interface PlanQuestion {
  input: ChargePlanInput
  /** Take these runs' parts of a proposal as they are, and fit the rest around them. */
  keep?: KeptParts | undefined
}
export interface KeptParts {
  proposal: readonly PlannedUse[]
  runIds: readonly string[]
}
export interface ImpossibleReason {
  /** Facts that together leave no plan. */
  facts: string[]
  /** Without any one of the facts there is a plan; false when time ran out before each was tried. */
  irreducible: boolean
  /** Single steps that make a plan possible, each proven, easiest first. */
  waysOut: WayOut[]
}
/** A day without a plan is answered at once; what can be had instead, and why, comes afterwards: that takes longer. */
export interface PlanAnswer {
  outcome: ChargePlanOutcome
  /** A plan for some of the runs, where there is none of all of them; null when none is known. */
  partial: PartialPlan | null
  /** Why no plan is possible; null as long as it is not known. */
  reason: ImpossibleReason | null
  isExplaining: boolean
}

export interface PlanTasks {
  plan: { question: PlanQuestion; answer: PlanAnswer }
}
