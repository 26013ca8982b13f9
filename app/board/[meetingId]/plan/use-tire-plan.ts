'use client'
import { useCallback, useEffect, useRef, useState } from 'react'
import type { TireInput, TirePlan } from '@/lib/planner'
import type { TireAnswer } from './tire-worker'

export type TireState =
  | { state: 'idle' }
  | { state: 'working' }
  | { state: 'planned'; plan: TirePlan }
  | { state: 'failed'; message: string }

/** The tires' solver in its own thread, for one question at a time. */
export function useTirePlan(): { tires: TireState; ask: (input: TireInput) => void; drop: () => void } {
  const [tires, setTires] = useState<TireState>({ state: 'idle' })
  const worker = useRef<Worker | null>(null)
  const stop = useCallback(() => {
    worker.current?.terminate()
    worker.current = null
  }, [])
  useEffect(() => stop, [stop])
  const ask = useCallback(
    (input: TireInput) => {
      stop()
      setTires({ state: 'working' })
      const end = (next: TireState) => {
        stop()
        setTires(next)
      }
      const thread = (worker.current = new Worker(new URL('./tire-worker.ts', import.meta.url), {
        type: 'module',
      }))
      thread.onmessage = ({ data }: MessageEvent<TireAnswer>) => {
        if (data.kind === 'failed') end({ state: 'failed', message: data.message })
        else if (data.plan) end({ state: 'planned', plan: data.plan })
        else end({ state: 'failed', message: 'time ran out before anything was found' })
      }
      thread.onerror = () => end({ state: 'failed', message: 'the solver’s thread did not start' })
      thread.postMessage(input)
    },
    [stop],
  )
  const drop = useCallback(() => setTires({ state: 'idle' }), [])
  return { tires, ask, drop }
}
