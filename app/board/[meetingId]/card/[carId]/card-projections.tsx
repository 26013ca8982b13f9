'use client'
import { cardGround, type RunInfo } from '@/lib/card'
import { useLapProjections } from '../../../../card/projection-context'
import { ProjectionStrip } from '../../../../card/projection-strip'
import { useDerived } from '../../../../sync'
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
  const ground = useDerived(cardGround, carId, run?.runId ?? '')
  const lap = useLapProjections(carId, ground.key)
  return <ProjectionStrip meetingId={day.meetingId} ground={ground} lap={lap} />
}
