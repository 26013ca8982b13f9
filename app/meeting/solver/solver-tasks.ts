import type { CrewInput, CrewPlan, TireInput, TirePlan } from '@/lib/planner'

/** What the solver's thread is asked for, and what comes of it. */
export interface SolverTasks {
  tires: { question: TireInput; answer: TirePlan }
  crew: { question: CrewInput; answer: CrewPlan }
}
