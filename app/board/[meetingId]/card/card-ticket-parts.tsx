'use client'
import { memo } from 'react'
import type { CardProjections, CardTicket } from '@/lib/card'
import { useLapProjections } from '../../../card/projection-context'
import type { ShortFigure } from '../../../card/projection-messages'
import { Countdown, FactStrip, Link, plusMinusText, TicketHead } from '../../../ui'

/** Whose car, when it is called, how ready it is, and what is loose on it. */
export const TicketTop = memo(function TicketTop({
  meetingId,
  ticket: t,
  driver,
  callAt,
  heatNumber,
  plusMinusS,
}: {
  meetingId: string
  ticket: CardTicket
  driver: string
  callAt: number | null
  heatNumber: number | undefined
  plusMinusS: number
}) {
  const href = `/board/${meetingId}/card/${t.carId}`
  return (
    <>
      <TicketHead
        title={<Link href={href}>{t.name}</Link>}
        sub={[driver, t.className].filter(Boolean).join(', ')}
        stub={
          callAt !== null ? (
            <>
              <Countdown to={callAt} what="to the call" tenths={false} />
              <small>
                to the call, heat {heatNumber} {plusMinusText(plusMinusS)}
              </small>
            </>
          ) : (
            <small>no run to come</small>
          )
        }
      />
      {t.hasRun && <FactStrip facts={t.facts} />}
      {t.loose.length > 0 && (
        <ul className="ruled" aria-label={`Loose on ${t.name}`}>
          {t.loose.map((r) => (
            <li key={r.parameterId} className="card-loose">
              <Link href={`${href}#${r.parameterId}`}>{r.label}</Link>
              <span className="num">{r.text}</span>
            </li>
          ))}
        </ul>
      )}
    </>
  )
})

/** What the card does, in the figures that a short ticket has room for. */
export const TicketFigures = memo(function TicketFigures({
  carId,
  name,
  groundKey,
  quick,
}: {
  carId: string
  name: string
  groundKey: string
  quick: CardProjections
}) {
  const lap = useLapProjections(carId, groundKey)
  const rollout = quick.figures.find((f) => f.id === 'rollout')
  const driven = lap.projections?.short ?? []
  if (rollout === undefined && driven.length === 0) return null
  return (
    <ul className="figures card-figures" aria-label={`Projections for ${name}`}>
      {rollout && <ShortFigureRow label="Rollout" figure={rollout} isStale={false} />}
      {driven.map(
        (f) =>
          f.value !== null && (
            <ShortFigureRow key={f.id} label={LABELS[f.id] ?? f.id} figure={f} isStale={lap.stale} />
          ),
      )}
    </ul>
  )
})

const LABELS: Record<string, string> = {
  topSpeed: 'Top speed on this track',
  can: 'Motor can at the finish',
}

function ShortFigureRow({
  label,
  figure: f,
  isStale,
}: {
  label: string
  figure: ShortFigure
  isStale: boolean
}) {
  return (
    <li data-stale={isStale ? '' : undefined}>
      <span className="figure-label">{label}</span>
      <span className="figure-value num">
        {f.text}
        {f.plusMinusText && <span className="spread"> ±{f.plusMinusText}</span>}
        {f.unit && <span className="unit"> {f.unit}</span>}
      </span>
    </li>
  )
}

/** What is left to do, in a sentence. */
export const TicketFoot = memo(function TicketFoot({ ticket: t }: { ticket: CardTicket }) {
  const more = t.looseCount - t.loose.length
  const open = t.followUps.length
  return (
    <p className="ticket-body small">
      {!t.isSet
        ? 'Nothing is assigned yet.'
        : t.looseCount === 0
          ? 'Every assigned value is in the car.'
          : more > 0
            ? `And ${more} more values are loose.`
            : ''}
      {open > 0 &&
        ` ${open === 1 ? '1 follow-up' : `${open} follow-ups`} open: ${t.followUps.slice(0, 2).join('; ')}${open > 2 ? ' …' : ''}`}
    </p>
  )
})
