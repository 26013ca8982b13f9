import loadHighs from 'highs'
import runtime from 'highs/runtime'
import { answerQuestions } from '@/app/threads/answer-questions'
import { assignJobs, assignTires, highsSolver } from '@/lib/planner'
import type { SolverTasks } from './solver-tasks'

const solver = loadHighs({ locateFile: () => new URL(runtime, self.location.href).href }).then(highsSolver)

answerQuestions<SolverTasks>({
  tires: async (input) => found(assignTires(input, await solver)),
  crew: async (input) => found(assignJobs(input, await solver)),
})

function found<P>(plan: P | null): P {
  if (plan === null) throw new Error('time ran out before anything was found')
  return plan
}
