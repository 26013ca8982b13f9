'use client'
import { useCallback, useRef } from 'react'
import { threadReason } from '@/app/threads/thread-trouble'
import { useAsked, useDesk } from '@/app/threads/use-desk'
import type { ChargePlanInput } from '@/lib/planner'
import type { KeptParts, PlanAnswer, PlanTasks } from './plan-messages'

export type PlanState =
  | { state: 'idle' }
  | { state: 'working' }
  /** `n`: of the question; another number is another answer. */
  | ({ state: 'answered'; n: number } & PlanAnswer)
  | { state: 'failed'; message: string }

/** The solver in its own thread: the screen never waits for it. Asking again drops the question before. */
export function useChargePlan(): {
  plan: PlanState
  ask: (input: ChargePlanInput, keep?: KeptParts) => void
  /** The answer has been dealt with. */
  drop: () => void
} {
  const desk = useDesk<PlanTasks>('plan', {
    words: (gone) => threadReason('solver', gone),
    endsOvertaken: true,
  })
  const count = useRef(0)
  const ask = useCallback(
    (input: ChargePlanInput, keep?: KeptParts) => desk.ask('plan', { input, keep }, ++count.current),
    [desk],
  )
  const drop = useCallback(() => desk.drop('plan'), [desk])
  const { answer, of, stale, isWorking, failed } = useAsked(desk, 'plan')
  const plan: PlanState =
    failed !== null
      ? { state: 'failed', message: failed }
      : answer !== null && !stale
        ? { state: 'answered', n: of as number, ...answer }
        : { state: isWorking ? 'working' : 'idle' }
  return { plan, ask, drop }
}
