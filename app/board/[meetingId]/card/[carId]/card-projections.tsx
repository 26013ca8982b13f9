'use client'
import type { RunInfo } from '@/lib/card'
import { useLapProjections, useProjectionMemo } from '../../../../card/projection-context'
import { ProjectionStrip } from '../../../../card/projection-strip'
import type { RaceDay } from '../../use-race-day'

/** What the card does before the car runs: moves with every value. */
export function CardProjections({
  day,
  carId,
  run,
}: {
  day: RaceDay
  carId: string
  run: RunInfo | undefined
}) {
  const memo = useProjectionMemo()
  const ground = memo.groundOf(day.view, carId, run)
  const lap = useLapProjections(carId, ground.key)
  return <ProjectionStrip meetingId={day.meetingId} ground={ground} lap={lap} />
}
