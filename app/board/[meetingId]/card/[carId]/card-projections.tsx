'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { cardGround, type RunInfo } from '@/lib/card'
import { useLapProjections } from '@/app/card/projection-context'
import { ProjectionStrip } from '@/app/card/projection-strip'
import { SuggestionsPart } from '@/app/meeting/suggestions-part'
import { useWhatIfDesk } from '@/app/card/use-what-if-desk'
import { useDerived } from '@/app/sync'

/** What the card does before the car runs: moves with every value; and which value it would be worth changing. */
export function CardProjections({ carId, run }: { carId: string; run: RunInfo | undefined }) {
  const meetingId = useMeetingId()
  const ground = useDerived(cardGround, carId, run?.runId ?? '')
  const lap = useLapProjections(carId, ground.key)
  const desk = useWhatIfDesk()
  return (
    <>
      <ProjectionStrip meetingId={meetingId} ground={ground} lap={lap} />
      <SuggestionsPart
        carId={carId}
        ground={ground}
        desk={desk}
        isReady={lap.projections?.withSpread === true && !lap.stale}
      />
    </>
  )
}
