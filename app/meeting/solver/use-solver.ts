'use client'
import { useCallback, useEffect, useRef, useState } from 'react'
import { startThread } from '@/app/threads/start-thread'
import { threadReason } from '@/app/threads/thread-trouble'
import type { SolverAnswer, SolverTasks } from './solver-messages'

export type SolverState<P> =
  | { state: 'idle' }
  | { state: 'working' }
  | { state: 'planned'; plan: P }
  | { state: 'failed'; message: string }

/** The solver in a thread of its own, for one question at a time; a new question ends the one before. */
export function useSolver<K extends keyof SolverTasks>(task: K) {
  const [state, setState] = useState<SolverState<SolverTasks[K]['plan']>>({ state: 'idle' })
  const worker = useRef<Worker | null>(null)
  const stop = useCallback(() => {
    worker.current?.terminate()
    worker.current = null
  }, [])
  useEffect(() => stop, [stop])
  const ask = useCallback(
    (input: SolverTasks[K]['input']) => {
      stop()
      setState({ state: 'working' })
      const end = (next: SolverState<SolverTasks[K]['plan']>) => {
        stop()
        setState(next)
      }
      const thread = (worker.current = startThread('solver'))
      thread.onmessage = ({ data }: MessageEvent<SolverAnswer<K>>) => {
        if (data.kind === 'failed') end({ state: 'failed', message: data.message })
        else if (data.plan) end({ state: 'planned', plan: data.plan })
        else end({ state: 'failed', message: 'time ran out before anything was found' })
      }
      thread.onerror = (event) => end({ state: 'failed', message: threadReason('solver', event) })
      thread.postMessage({ task, input })
    },
    [stop, task],
  )
  const drop = useCallback(() => setState({ state: 'idle' }), [])
  return { state, ask, drop }
}
