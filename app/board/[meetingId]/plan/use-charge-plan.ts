'use client'
import { useCallback, useEffect, useRef, useState } from 'react'
import type { ChargePlanInput } from '@/lib/planner'
import type { PlanAnswer, PlanQuestion } from './plan-messages'

export type PlanState =
  | { state: 'idle' }
  | { state: 'working'; since: number }
  | { state: 'answered'; answer: PlanAnswer & { kind: 'outcome' }; input: ChargePlanInput }
  | { state: 'failed'; message: string }

/** The solver in its own thread: the screen never waits for it. Asking again drops the question before. */
export function useChargePlan(): { plan: PlanState; ask: (input: ChargePlanInput) => void } {
  const [plan, setPlan] = useState<PlanState>({ state: 'idle' })
  const worker = useRef<Worker | null>(null)
  const asked = useRef<{ n: number; input: ChargePlanInput } | null>(null)
  const count = useRef(0)

  const stop = useCallback(() => {
    worker.current?.terminate()
    worker.current = null
  }, [])
  useEffect(() => stop, [stop])

  const ask = useCallback(
    (input: ChargePlanInput) => {
      // The solver can't be interrupted from inside, so a new question gets a new thread.
      if (asked.current) stop()
      const n = ++count.current
      asked.current = { n, input }
      setPlan({ state: 'working', since: performance.now() })
      const thread = (worker.current ??= new Worker(new URL('./plan-worker.ts', import.meta.url), {
        type: 'module',
      }))
      thread.onmessage = (event: MessageEvent<PlanAnswer>) => {
        const question = asked.current
        if (!question || event.data.n !== question.n) return
        asked.current = null
        setPlan(
          event.data.kind === 'failed'
            ? { state: 'failed', message: event.data.message }
            : { state: 'answered', answer: event.data, input: question.input },
        )
      }
      thread.onerror = () => {
        asked.current = null
        stop()
        setPlan({
          state: 'failed',
          message: 'The solver’s thread did not start. Reload the page; the first time it needs the network.',
        })
      }
      thread.postMessage({ n, input } satisfies PlanQuestion)
    },
    [stop],
  )
  return { plan, ask }
}
