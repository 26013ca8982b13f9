'use client'
import { useCallback } from 'react'
import { threadReason } from '@/app/threads/thread-trouble'
import { useAsked, useDesk } from '@/app/threads/use-desk'
import type { SolverTasks } from './solver-tasks'

type SolverState<P> =
  | { state: 'idle' }
  | { state: 'working' }
  | { state: 'planned'; plan: P }
  | { state: 'failed'; message: string }

/** The solver in a thread of its own, for one question at a time; a new question ends the one before. */
export function useSolver<K extends keyof SolverTasks>(task: K) {
  const desk = useDesk<SolverTasks>('solver', {
    words: (gone) => threadReason('solver', gone),
    endsOvertaken: true,
  })
  const ask = useCallback((input: SolverTasks[K]['question']) => desk.ask(task, input), [desk, task])
  const drop = useCallback(() => desk.drop(task), [desk, task])
  const { isWorking, failed, answer, stale } = useAsked(desk, task)
  const state: SolverState<SolverTasks[K]['answer']> = isWorking
    ? { state: 'working' }
    : failed !== null
      ? { state: 'failed', message: failed }
      : answer !== null && !stale
        ? { state: 'planned', plan: answer }
        : { state: 'idle' }
  return { state, ask, drop }
}
