import loadHighs from 'highs'
import { assignJobs, highsSolver, type CrewInput, type CrewPlan } from '@/lib/planner'

export type CrewAnswer = { kind: 'plan'; plan: CrewPlan | null } | { kind: 'failed'; message: string }

const solver = loadHighs({ locateFile: () => new URL('highs/runtime', import.meta.url).href }).then(
  highsSolver,
)

self.onmessage = async (event: MessageEvent<CrewInput>) => {
  const answer = (a: CrewAnswer) => self.postMessage(a)
  try {
    answer({ kind: 'plan', plan: assignJobs(event.data, await solver) })
  } catch (error) {
    answer({ kind: 'failed', message: error instanceof Error ? error.message : String(error) })
  }
}
