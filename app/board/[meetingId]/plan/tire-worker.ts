import loadHighs from 'highs'
import { assignTires, highsSolver, type TireInput, type TirePlan } from '@/lib/planner'

export type TireAnswer = { kind: 'plan'; plan: TirePlan | null } | { kind: 'failed'; message: string }

const solver = loadHighs({ locateFile: () => new URL('highs/runtime', import.meta.url).href }).then(
  highsSolver,
)

self.onmessage = async (event: MessageEvent<TireInput>) => {
  const answer = (a: TireAnswer) => self.postMessage(a)
  try {
    answer({ kind: 'plan', plan: assignTires(event.data, await solver) })
  } catch (error) {
    answer({ kind: 'failed', message: error instanceof Error ? error.message : String(error) })
  }
}
