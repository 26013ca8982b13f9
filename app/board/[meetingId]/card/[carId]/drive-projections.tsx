'use client'
import { drivetrainOf, type RunInfo } from '@/lib/card'
import { Figure, Figures, Note, RefusalText, Ticket, TicketHead } from '../../../../ui'
import type { RaceDay } from '../../use-race-day'

/** What the card does before the car runs: the strip that moves with every value. */
export function DriveProjections({
  day,
  carId,
  run,
}: {
  day: RaceDay
  carId: string
  run: RunInfo | undefined
}) {
  const p = drivetrainOf(day.view, carId, run)
  return (
    <Ticket id="projections" label="What this does">
      <TicketHead title="What this does" sub="projected from what is assigned, not measured" />
      {p.refusal && (
        <Note tone="hot">
          <RefusalText refusal={p.refusal} />
        </Note>
      )}
      <Figures label="Projections">
        <Figure label="Final drive ratio" value={p.finalDrive?.toFixed(3) ?? null} missing={p.missing} />
        <Figure label="Rollout" value={p.rolloutMm?.toFixed(1) ?? null} unit="mm/turn" missing={p.missing} />
        <Figure
          label="Top speed, endless straight"
          value={p.topSpeed?.mps.toFixed(1) ?? null}
          plusMinus={p.topSpeed?.plusMinusMps.toFixed(1)}
          unit="m/s"
          missing={p.speedMissing}
        />
      </Figures>
    </Ticket>
  )
}
