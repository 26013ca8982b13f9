'use client'
import { lazy, Suspense } from 'react'
import { LateLine } from '@/app/ui/late-part'
import { loadAhead } from '@/app/ui/load-ahead'
import type { TrackPartProps } from './track-part'

const trackPart = loadAhead(() => import('./track-part'))
const TrackPart = lazy(trackPart)

/** A car's lap on the drawn track, which no first look waits for. Last on a page, so that nothing moves when it comes. */
export function TrackLate(props: TrackPartProps) {
  return (
    <Suspense fallback={<LateLine part={trackPart} />}>
      <TrackPart {...props} />
    </Suspense>
  )
}
