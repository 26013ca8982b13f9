import loadHighs from 'highs'
import { highsSolver, solveChargePlan } from '@/lib/planner'
import type { PlanAnswer, PlanQuestion } from './plan-messages'

/** Longer than this nobody waits in a pit; the best plan found so far comes with its remaining gap. */
const TIME_LIMIT_S = 20

const solver = loadHighs({ locateFile: () => new URL('highs/runtime', import.meta.url).href }).then(
  highsSolver,
)

self.onmessage = async (event: MessageEvent<PlanQuestion>) => {
  const { n, input } = event.data
  const answer = (a: PlanAnswer) => self.postMessage(a)
  try {
    const outcome = solveChargePlan(input, await solver, { timeLimitSeconds: TIME_LIMIT_S })
    answer({ n, kind: 'outcome', outcome, reason: null })
  } catch (error) {
    answer({ n, kind: 'failed', message: error instanceof Error ? error.message : String(error) })
  }
}
