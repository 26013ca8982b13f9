import type { ChargePlanInput, ChargePlanOutcome } from '@/lib/planner'

/** What goes to the solver's thread and what comes back. */
export interface PlanQuestion {
  n: number
  input: ChargePlanInput
}
export interface ImpossibleReason {
  words: string[]
  waysOut: string[]
}
export type PlanAnswer =
  | { n: number; kind: 'outcome'; outcome: ChargePlanOutcome; reason: ImpossibleReason | null }
  | { n: number; kind: 'failed'; message: string }
