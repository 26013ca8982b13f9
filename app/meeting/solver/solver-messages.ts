import type { CrewInput, CrewPlan, TireInput, TirePlan } from '@/lib/planner'

/** What the solver's thread is asked for, and what comes of it. */
export interface SolverTasks {
  tires: { input: TireInput; plan: TirePlan }
  crew: { input: CrewInput; plan: CrewPlan }
}

export type SolverQuestion = {
  [K in keyof SolverTasks]: { task: K; input: SolverTasks[K]['input'] }
}[keyof SolverTasks]

/** `plan` null: time ran out before anything was found. */
export type SolverAnswer<K extends keyof SolverTasks> =
  { kind: 'plan'; plan: SolverTasks[K]['plan'] | null } | { kind: 'failed'; message: string }
