import loadHighs from 'highs'
import runtime from 'highs/runtime'
import { assignJobs, assignTires, highsSolver } from '@/lib/planner'
import type { SolverAnswer, SolverQuestion, SolverTasks } from './solver-messages'

const solver = loadHighs({ locateFile: () => new URL(runtime, self.location.href).href }).then(highsSolver)

self.onmessage = async ({ data: question }: MessageEvent<SolverQuestion>) => {
  const answer = (a: SolverAnswer<keyof SolverTasks>) => self.postMessage(a)
  try {
    const plan =
      question.task === 'tires'
        ? assignTires(question.input, await solver)
        : assignJobs(question.input, await solver)
    answer({ kind: 'plan', plan })
  } catch (error) {
    answer({ kind: 'failed', message: error instanceof Error ? error.message : String(error) })
  }
}
