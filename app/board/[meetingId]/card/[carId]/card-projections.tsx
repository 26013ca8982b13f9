'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { cardGround, type RunInfo } from '@/lib/card'
import { useLapProjections } from '@/app/card/projection-context'
import { ProjectionStrip } from '@/app/card/projection-strip'
import { TrackLate } from '@/app/card/track-late'
import { SuggestionsPart } from '@/app/meeting/suggestions-part'
import type { WhatIfDesk } from '@/app/card/use-what-if-desk'
import { useDerived } from '@/app/sync'

interface CardPartProps {
  carId: string
  run: RunInfo | undefined
  desk: WhatIfDesk
}

/** What the card does before the car runs: moves with every value; and which value it would be worth changing. */
export function CardProjections({ carId, run, desk }: CardPartProps) {
  const meetingId = useMeetingId()
  const ground = useDerived(cardGround, carId, run?.runId ?? '')
  const lap = useLapProjections(carId, ground.key)
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

/** A picture of what the figures say. */
export function CardTrack({ carId, run, desk }: CardPartProps) {
  const { basis, key } = useDerived(cardGround, carId, run?.runId ?? '')
  return <TrackLate basis={basis} groundKey={key} desk={desk} from="what is assigned" size="small" />
}
