import type { ChargePlanInput, ChargePlanOutcome, PartialPlan, PlannedUse, WayOut } from '@/lib/planner'

/** What goes to the solver's thread and what comes back. */
export interface PlanQuestion {
  n: number
  input: ChargePlanInput
  /** Take these runs' parts of a proposal as they are, and fit the rest around them. */
  keep?: KeptParts
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
export type PlanAnswer =
  | { n: number; kind: 'outcome'; outcome: ChargePlanOutcome; isFinal: boolean }
  | { n: number; kind: 'partial'; partial: PartialPlan | null; isFinal: boolean }
  | { n: number; kind: 'reason'; reason: ImpossibleReason | null; isFinal: true }
  | { n: number; kind: 'failed'; message: string }
