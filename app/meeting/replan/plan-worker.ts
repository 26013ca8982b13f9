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
import { timeText } from '@/app/ui/time-text'
import type { ImpossibleReason, PlanAnswer, PlanQuestion } from './plan-messages'

/** Longer than this nobody waits in a pit; the best plan found so far comes with its remaining gap. */
const TIME_LIMIT_S = 16
/** For making the plan of some of the runs better, once there is none of all of them. */
const PARTIAL_LIMIT_S = 3
/** For the reason of an impossible day, and again for the ways out of it. */
const EXPLAIN_LIMIT_S = 15
const MOST_WAYS = 6

const solver = loadHighs({ locateFile: () => new URL(runtime, self.location.href).href }).then(highsSolver)

self.onmessage = async (event: MessageEvent<PlanQuestion>) => {
  const { n, input, keep } = event.data
  const answer = (a: PlanAnswer) => self.postMessage(a)
  try {
    const highs = await solver
    const options = { timeLimitSeconds: TIME_LIMIT_S }
    const outcome = keep
      ? acceptParts(input.known ?? [], keep.proposal, keep.runIds, input, highs, options)
      : solveChargePlan(input, highs, options)
    const isFinal = outcome.kind === 'planned'
    answer({ n, kind: 'outcome', outcome, isFinal })
    if (isFinal) return
    const partial = partialPlan(input, highs, { timeLimitSeconds: PARTIAL_LIMIT_S })
    const isImpossible = outcome.kind === 'impossible'
    if (partial?.leftOut.length === 0)
      return answer({
        n,
        kind: 'outcome',
        outcome: { kind: 'planned', plan: partial.plan, seconds: outcome.seconds },
        isFinal: true,
      })
    answer({ n, kind: 'partial', partial, isFinal: !isImpossible })
    if (isImpossible) answer({ n, kind: 'reason', reason: reasonOf(input, highs), isFinal: true })
  } catch (error) {
    answer({ n, kind: 'failed', message: error instanceof Error ? error.message : String(error) })
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
