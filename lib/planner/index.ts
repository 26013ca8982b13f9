/** The day that moves: forecast, duties, charge plan, tires and crew. Pure functions on plain records. */
export * from './forecast/forecast-types'
export { drawOrder, type DrawnOrder } from './forecast/draw-order'
export { earlierDraws } from './forecast/earlier-draws'
export { forecastFrom, forecastRunningOrder } from './forecast/forecast-running-order'
export { comingHeats, defaultPrior, orderQuestion, type OrderQuestion } from './forecast/order-question'
export * from './duties/duty-types'
export { marshalDuties } from './duties/marshal-duties'
export { dutyClashes, standInsFor, type StandIn } from './duties/duty-clashes'
export { personalList, type PersonalItem } from './duties/personal-list'
export * from './charge/charge-types'
export { solveChargePlan, planExists, type SolveOptions } from './charge/solve-charge-plan'
export { highsSolver } from './solver/highs-solver'
export type { Milp, MilpOptions, MilpOutcome, MilpSolver } from './solver/milp'
export type { FactId } from './charge/charge-instance'
export { partialPlan, type PartialPlan } from './charge/partial-plan'
export { checkPlan, type PlanFault } from './charge/check'
export { greedyPlan, type GreedyOptions } from './charge/greedy-plan'
export { goalValues } from './charge/goal-values'
export {
  explainImpossible,
  factsOf,
  type ExplainOptions,
  type Fact,
  type Impossibility,
} from './charge/explain-impossible'
export { leavingOut, waysOut, type WayKind, type WayOut, type WayStep } from './charge/ways-out'
export {
  acceptParts,
  planDifferences,
  replan,
  type DifferenceKind,
  type PlanDifference,
} from './charge/replan'
export {
  assignTires,
  type TireInput,
  type TireLimit,
  type TirePlan,
  type TireRun,
  type TireSet,
  type TireValues,
} from './tires/assign-tires'
export { assignJobs, type CrewInput, type CrewJob, type CrewPerson, type CrewPlan } from './crew/assign-jobs'
