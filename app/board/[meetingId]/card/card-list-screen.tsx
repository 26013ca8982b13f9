'use client'
import {
  cardRows,
  factsOf,
  nextRunOf,
  openFollowUps,
  rowIsLoose,
  type CardRow,
  type RunInfo,
} from '@/lib/card'
import type { Car } from '@/lib/board'
import { Countdown, Empty, FactStrip, Link, LinkButton, plusMinusText, Ticket, TicketHead } from '../../../ui'
import { useLapProjections, useProjectionMemo } from '../../../card/projection-context'
import { useRaceDay, type RaceDay } from '../use-race-day'
import './card.css'

/** Every car of the kit as a short ticket, the next to be called first. */
export function CardListScreen() {
  const day = useRaceDay()
  const cars = day.view.cars.live
    .map((car) => ({ car, run: nextRunOf(day.runs, car.id) }))
    .sort(
      (a, b) =>
        (a.run?.callAt ?? Infinity) - (b.run?.callAt ?? Infinity) ||
        (a.car.name ?? '').localeCompare(b.car.name ?? ''),
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
        {cars.map(({ car, run }) => (
          <li key={car.id}>
            <CardTicket day={day} car={car} run={run} />
          </li>
        ))}
      </ul>
    </div>
  )
}

/** The figures that a short ticket has room for. */
const TICKET_FIGURES = ['rollout', 'topSpeed', 'can']

/** So many loose values are named; the rest is a number. */
const NAMED = 3

function CardTicket({ day, car, run }: { day: RaceDay; car: Car; run: RunInfo | undefined }) {
  const rows = cardRows(day.view, car.id)
  const loose = rows.filter(rowIsLoose)
  const followUps = openFollowUps(day.view, car.id)
  const href = `/board/${day.meetingId}/card/${car.id}`
  const ground = useProjectionMemo().groundOf(day.view, car.id, run)
  const lap = useLapProjections(car.id, ground)
  const figures = [...ground.quick.figures, ...(lap.projections?.figures ?? [])]
  const shown = TICKET_FIGURES.map((id) => figures.find((f) => f.id === id && f.value !== null)).filter(
    (f) => f !== undefined,
  )
  const isSet = rows.some((r) => r.assigned !== null)
  return (
    <Ticket as="article" label={car.name}>
      <TicketHead
        title={<Link href={href}>{car.name ?? 'Car'}</Link>}
        sub={[day.nameOf(car.driverId), run?.raceClass?.name ?? (car.drive === '2wd' ? '2WD' : '4WD')]
          .filter(Boolean)
          .join(', ')}
        stub={
          run?.callAt ? (
            <>
              <Countdown to={run.callAt} what="to the call" tenths={false} />
              <small>
                to the call, heat {run.heat.number} {plusMinusText(run.plusMinusS)}
              </small>
            </>
          ) : (
            <small>no run to come</small>
          )
        }
      />
      {run && <FactStrip facts={factsOf(day.view, run)} />}
      {loose.length > 0 && (
        <ul className="ruled" aria-label={`Loose on ${car.name ?? 'this car'}`}>
          {loose.slice(0, NAMED).map((r) => (
            <li key={r.parameter.id} className="card-loose">
              <Link href={`${href}#${r.parameter.id}`}>{r.parameter.label}</Link>
              <span className="num">{looseText(r)}</span>
            </li>
          ))}
        </ul>
      )}
      {shown.length > 0 && (
        <ul className="figures card-figures" aria-label={`Projections for ${car.name ?? 'this car'}`}>
          {shown.map((f) => (
            <li key={f.id} data-stale={lap.stale && f.group !== 'drive' ? '' : undefined}>
              <span className="figure-label">{f.label}</span>
              <span className="figure-value num">
                {f.text}
                {f.plusMinusText && <span className="spread"> ±{f.plusMinusText}</span>}
                {f.unit && <span className="unit"> {f.unit}</span>}
              </span>
            </li>
          ))}
        </ul>
      )}
      <p className="ticket-body small">
        {!isSet
          ? 'Nothing is assigned yet.'
          : loose.length === 0
            ? 'Every assigned value is in the car.'
            : loose.length > NAMED
              ? `And ${loose.length - NAMED} more values are loose.`
              : ''}
        {followUps.length > 0 &&
          ` ${followUps.length === 1 ? '1 follow-up' : `${followUps.length} follow-ups`} open: ${followUps
            .slice(0, 2)
            .map((f) => f.name)
            .join('; ')}${followUps.length > 2 ? ' …' : ''}`}
      </p>
    </Ticket>
  )
}

function looseText({ state, assigned, fitted, parameter }: CardRow): string {
  const unit = parameter.unit ? ` ${parameter.unit}` : ''
  if (state === 'not-read-back') return 'not read back'
  return `${fitted === null ? '–' : String(fitted)} → ${String(assigned)}${unit}`
}
