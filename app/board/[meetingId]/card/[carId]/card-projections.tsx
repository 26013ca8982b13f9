'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { cardGround, type RunInfo } from '@/lib/card'
import { useLapProjections } from '../../../../card/projection-context'
import { ProjectionStrip } from '../../../../card/projection-strip'
import { useDerived } from '../../../../sync'

/** What the card does before the car runs: moves with every value. */
export function CardProjections({ carId, run }: { carId: string; run: RunInfo | undefined }) {
  const meetingId = useMeetingId()
  const ground = useDerived(cardGround, carId, run?.runId ?? '')
  const lap = useLapProjections(carId, ground.key)
  return <ProjectionStrip meetingId={meetingId} ground={ground} lap={lap} />
}
