'use client'
import { useMemo } from 'react'
import { cardTicket, nextRunOf } from '@/lib/card'
import { Empty, LinkButton } from '../../../ui'
import { useProjectionMemo, useTicketMemo } from '../../../card/projection-context'
import { useRaceDay } from '../use-race-day'
import { TicketFigures, TicketFoot, TicketTop } from './card-ticket-parts'
import './card.css'

/** Every car of the kit as a short ticket, the next to be called first. */
export function CardListScreen() {
  const { view, runs, meetingId, nameOf } = useRaceDay()
  const grounds = useProjectionMemo()
  const tickets = useTicketMemo()
  const { live } = view.cars
  const cars = useMemo(
    () =>
      live
        .map((car) => ({ car, run: nextRunOf(runs, car.id) }))
        .sort(
          (a, b) =>
            (a.run?.callAt ?? Infinity) - (b.run?.callAt ?? Infinity) ||
            (a.car.name ?? '').localeCompare(b.car.name ?? ''),
        ),
    [live, runs],
  )
  if (cars.length === 0)
    return (
      <div className="page page-narrow">
        <h1>Cards</h1>
        <Empty
          title="The kit has no cars yet"
          acts={
            <LinkButton look="do" href="/kit/cars">
              Enter the first car
            </LinkButton>
          }
        >
          <p>
            Every car of the kit has a setup card: what is asked for, what is in the car, and what follows
            from it.
          </p>
        </Empty>
      </div>
    )
  return (
    <div className="page">
      <h1>Cards</h1>
      <ul className="card-list">
        {cars.map(({ car, run }) => {
          const ticket = tickets.get(car.id, view, run, (v, r) => cardTicket(v, car.id, r))
          const { key, quick } = grounds.groundOf(view, car.id, run)
          return (
            <li key={car.id}>
              {/* Parts of their own, so that a change renders only what it changes. */}
              <article className="ticket" aria-label={ticket.name}>
                <TicketTop
                  meetingId={meetingId}
                  ticket={ticket}
                  driver={nameOf(ticket.driverId)}
                  callAt={run?.callAt ?? null}
                  heatNumber={run?.heat.number}
                  plusMinusS={run?.plusMinusS ?? 0}
                />
                <TicketFigures carId={car.id} name={ticket.name} groundKey={key} quick={quick} />
                <TicketFoot ticket={ticket} />
              </article>
            </li>
          )
        })}
      </ul>
    </div>
  )
}
