'use client'
import { useCallback, useEffect, useRef, useState } from 'react'
import { startThread } from '@/app/threads/start-thread'
import { threadReason } from '@/app/threads/thread-trouble'
import type { ChargePlanInput, ChargePlanOutcome, PartialPlan } from '@/lib/planner'
import type { ImpossibleReason, KeptParts, PlanAnswer, PlanQuestion } from './plan-messages'

export type PlanState =
  | { state: 'idle' }
  | { state: 'working' }
  | {
      state: 'answered'
      /** Of the question; another number is another answer. */
      n: number
      outcome: ChargePlanOutcome
      /** A plan for some of the runs, where there is none of all of them; null when none is known. */
      partial: PartialPlan | null
      /** Why no plan is possible; null as long as it is not known. */
      reason: ImpossibleReason | null
      isExplaining: boolean
    }
  | { state: 'failed'; message: string }

/** The solver in its own thread: the screen never waits for it. Asking again drops the question before. */
export function useChargePlan(): {
  plan: PlanState
  ask: (input: ChargePlanInput, keep?: KeptParts) => void
  /** The answer has been dealt with. */
  drop: () => void
} {
  const [plan, setPlan] = useState<PlanState>({ state: 'idle' })
  const worker = useRef<Worker | null>(null)
  const busyWith = useRef<number | null>(null)
  const count = useRef(0)

  const stop = useCallback(() => {
    worker.current?.terminate()
    worker.current = null
    busyWith.current = null
  }, [])
  useEffect(() => stop, [stop])

  const ask = useCallback(
    (input: ChargePlanInput, keep?: KeptParts) => {
      // The solver can't be interrupted from inside, so a new question gets a new thread.
      if (busyWith.current !== null) stop()
      const n = ++count.current
      busyWith.current = n
      setPlan({ state: 'working' })
      const thread = (worker.current ??= startThread('plan'))
      thread.onmessage = (event: MessageEvent<PlanAnswer>) => {
        const answer = event.data
        if (answer.n !== busyWith.current) return
        if (answer.kind === 'failed' || answer.isFinal) busyWith.current = null
        setPlan((before) => stateAfter(before, answer))
      }
      thread.onerror = (event) => {
        stop()
        setPlan({ state: 'failed', message: threadReason('solver', event) })
      }
      thread.postMessage({ n, input, ...(keep && { keep }) } satisfies PlanQuestion)
    },
    [stop],
  )
  const drop = useCallback(() => {
    stop()
    setPlan({ state: 'idle' })
  }, [stop])
  return { plan, ask, drop }
}

function stateAfter(before: PlanState, answer: PlanAnswer): PlanState {
  switch (answer.kind) {
    case 'failed':
      // A day that is proven impossible stays so, whether or not a reason is found.
      return before.state === 'answered'
        ? { ...before, isExplaining: false }
        : { state: 'failed', message: answer.message }
    case 'outcome':
      return {
        state: 'answered',
        n: answer.n,
        outcome: answer.outcome,
        partial: null,
        reason: null,
        isExplaining: !answer.isFinal,
      }
    case 'partial':
      return before.state === 'answered'
        ? { ...before, partial: answer.partial, isExplaining: !answer.isFinal }
        : before
    case 'reason':
      return before.state === 'answered' ? { ...before, reason: answer.reason, isExplaining: false } : before
  }
}
