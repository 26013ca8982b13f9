'use client'
import { lazy, Suspense } from 'react'
import type { RunInfo } from '@/lib/card'
import { loadAhead } from '@/app/ui/load-ahead'
import { useCallsSetting } from './calls-setting'

export interface CallsWatchProps {
  runs: readonly RunInfo[]
  /** ms on the server's clock. */
  now: number
  isMyRun: (run: RunInfo) => boolean
}

const Ringing = lazy(loadAhead(() => import('./ringing')))

/** Rings on this phone before a call of one's own, and when something becomes one's own. Shows nothing itself. */
export function CallsWatch(props: CallsWatchProps) {
  if (useCallsSetting() !== 'on') return null
  return (
    <Suspense fallback={null}>
      <Ringing {...props} />
    </Suspense>
  )
}
