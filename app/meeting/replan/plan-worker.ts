import loadHighs from 'highs'
import runtime from 'highs/runtime'
import {
  acceptParts,
  explainImpossible,
  highsSolver,
  partialPlan,
  solveChargePlan,
  waysOut,
  type ChargePlanInput,
  type MilpSolver,
} from '@/lib/planner'
import { answerQuestions } from '@/app/threads/answer-questions'
import { timeText } from '@/app/ui/time-text'
import type { ImpossibleReason, PlanAnswer, PlanQuestion, PlanTasks } from './plan-messages'

/** Longer than this nobody waits in a pit; the best plan found so far comes with its remaining gap. */
const TIME_LIMIT_S = 16
/** For making the plan of some of the runs better, once there is none of all of them. */
const PARTIAL_LIMIT_S = 3
/** For the reason of an impossible day, and again for the ways out of it. */
const EXPLAIN_LIMIT_S = 15
const MOST_WAYS = 6

const solver = loadHighs({ locateFile: () => new URL(runtime, self.location.href).href }).then(highsSolver)

answerQuestions<PlanTasks>({ plan: planSteps })

async function* planSteps({ input, keep }: PlanQuestion): AsyncGenerator<PlanAnswer, PlanAnswer> {
  const highs = await solver
  const options = { timeLimitSeconds: TIME_LIMIT_S }
  const outcome = keep
    ? acceptParts(input.known ?? [], keep.proposal, keep.runIds, input, highs, options)
    : solveChargePlan(input, highs, options)
  let answer: PlanAnswer = { outcome, partial: null, reason: null, isExplaining: false }
  if (outcome.kind === 'planned') return answer
  yield { ...answer, isExplaining: true }
  try {
    const partial = partialPlan(input, highs, { timeLimitSeconds: PARTIAL_LIMIT_S })
    if (partial?.leftOut.length === 0)
      return { ...answer, outcome: { kind: 'planned', plan: partial.plan, seconds: outcome.seconds } }
    answer = { ...answer, partial }
    if (outcome.kind !== 'impossible') return answer
    yield { ...answer, isExplaining: true }
    return { ...answer, reason: reasonOf(input, highs) }
  } catch {
    // A day that is proven impossible stays so, whether or not a reason is found.
    return answer
  }
}

function reasonOf(input: ChargePlanInput, highs: MilpSolver): ImpossibleReason | null {
  const why = explainImpossible(input, highs, { timeLimitSeconds: EXPLAIN_LIMIT_S, timeOfDay: timeText })
  if (!why) return null
  const ways = waysOut(input, why, highs, EXPLAIN_LIMIT_S)
  return {
    facts: why.facts.map((f) => f.words),
    irreducible: why.irreducible,
    waysOut: ways.slice(0, MOST_WAYS),
  }
}
