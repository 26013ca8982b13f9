'use client'
import { memo } from 'react'
import type { CardTicket } from '@/lib/card'
import { Countdown, FactStrip, Link, plusMinusText, TicketHead } from '@/app/ui'

/** Whose car, when it is called, how ready it is, and what is loose on it. */
export const TicketTop = memo(function TicketTop({
  meetingId,
  ticket: t,
  driver,
  callAt,
  heat,
  plusMinusS,
}: {
  meetingId: string
  ticket: CardTicket
  driver: string
  callAt: number | null
  heat: string
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
            <Countdown
              to={callAt}
              of="call"
              what="call"
              tenths={false}
              note={`${heat} ${plusMinusText(plusMinusS)}`}
            />
          ) : (
            <small>no coming run</small>
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
