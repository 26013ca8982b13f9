'use client'
import { cardRows, factsOf, nextRunOf, openFollowUps, rowIsLoose } from '@/lib/card'
import { Countdown, Empty, FactStrip, Link, LinkButton, Ticket, TicketHead } from '../../../ui'
import { useRaceDay } from '../use-race-day'
import './card.css'

/** Every car of the kit as a short ticket, the next to be called first. */
export function CardListScreen() {
  const day = useRaceDay()
  const cars = day.view.cars.live
    .map((car) => ({ car, run: nextRunOf(day.runs, car.id) }))
    .sort((a, b) => (a.run?.callAt ?? Infinity) - (b.run?.callAt ?? Infinity))
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
          const loose = cardRows(day.view, car.id).filter(rowIsLoose).length
          const followUps = openFollowUps(day.view, car.id).length
          return (
            <li key={car.id}>
              <Ticket as="article" label={car.name}>
                <TicketHead
                  title={<Link href={`/board/${day.meetingId}/card/${car.id}`}>{car.name ?? 'Car'}</Link>}
                  sub={[
                    day.nameOf(car.driverId),
                    car.drive === '2wd' ? '2WD' : car.drive === '4wd' ? '4WD' : null,
                  ]
                    .filter(Boolean)
                    .join(', ')}
                  stub={
                    run?.callAt ? (
                      <>
                        <Countdown to={run.callAt} what="to the call" tenths={false} />
                        <small>to the call, heat {run.heat.number}</small>
                      </>
                    ) : (
                      <small>no run to come</small>
                    )
                  }
                />
                {run && <FactStrip facts={factsOf(day.view, run)} />}
                <p className="ticket-body small">
                  {loose === 0
                    ? 'Every assigned value is in the car'
                    : `${loose} ${loose === 1 ? 'value differs' : 'values differ'}`}
                  {followUps > 0 && `, ${followUps} ${followUps === 1 ? 'follow-up' : 'follow-ups'} open`}
                </p>
              </Ticket>
            </li>
          )
        })}
      </ul>
    </div>
  )
}
