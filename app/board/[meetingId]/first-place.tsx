'use client'
import { useRouter } from 'next/navigation'
import { useEffect } from 'react'
import { nextRunOf, type RunInfo } from '@/lib/card'
import { FIRST_PLACE, PLACES } from '@/app/ui/navigation'
import { Loading } from '@/app/ui'
import { useRaceDay } from '@/app/meeting/use-race-day'

/** A driver without a run is led to the list after so long, ms. */
const NO_RUN_MS = 2_000

/** A driver's next run, else whichever of the team comes next: what the staging view opens with. */
const firstRunOf = (runs: readonly RunInfo[], personId: string): RunInfo | undefined =>
  runs.find((r) => r.driverId === personId && nextRunOf(runs, r.carId) === r)

/** Sends everybody on to where their work is: the driver to the next run’s staging, the mechanic to the jobs, the manager to the order. */
export function FirstPlace() {
  const { meetingId, me, runs } = useRaceDay()
  const router = useRouter()
  const place = PLACES.find((p) => p.id === FIRST_PLACE[me.role])
  const run = me.role === 'driver' ? firstRunOf(runs, me.personId) : undefined
  const href = run ? `/board/${meetingId}/staging/${run.runId}` : (place?.href(meetingId) ?? '/')
  // The board may come in parts, the runs a moment after the rest.
  const waitMs = me.role === 'driver' && !run ? NO_RUN_MS : 0
  useEffect(() => {
    if (waitMs === 0) return router.replace(href)
    const timer = setTimeout(() => router.replace(href), waitMs)
    return () => clearTimeout(timer)
  }, [router, href, waitMs])
  return <Loading what="Opening your place" />
}
