'use client'
import {
  factsOf,
  dayStateNow,
  forecastNow,
  looseEndsNow,
  raceSecondsOf,
  stampingOf,
  titleWithoutCar,
  type LooseEnd,
  type RunInfo,
  heatOfRun,
} from '@/lib/card'
import { useWakeLock } from '@/app/calls/use-wake-lock'
import { useDerived, useSyncPart } from '@/app/sync'
import { Countdown, FactStrip, plusMinusText, timeText } from '@/app/ui'
import { heatFirst, heatIn } from '@/app/meeting/heat-in-full'
import { useRaceDay, type RaceDay } from '@/app/meeting/use-race-day'
import { WallChargers } from './wall-chargers'
import { WallClock } from './wall-clock'
import './wall.css'

/** How many there is room for, at letters that are read from five meters. */
const CALLS = 4
/** ms past the race clock. A heat may take that long to come in; later its finish was likely not stamped. */
const STAMP_DUE_MS = 2 * 60_000
const CARS = 5

/** For a screen that hangs in the pit: now, the next calls, what is loose, the chargers, how late the day is. Nothing to press, always awake. */
export function WallScreen() {
  useWakeLock()
  const day = useRaceDay()
  const calls = day.runs
    .filter((r) => (r.state === 'upcoming' || r.state === 'called') && r.callAt !== null)
    .slice(0, CALLS)
  return (
    <div className="wall">
      <Now day={day} />
      <section className="wall-calls" aria-label="Next calls">
        <h2>Next calls</h2>
        {calls.length === 0 ? (
          <p className="wall-quiet">No runs coming up</p>
        ) : (
          <ol>
            {calls.map((run) => (
              <Call key={run.runId} day={day} run={run} />
            ))}
          </ol>
        )}
      </section>
      <LooseByCar day={day} />
      <WallChargers day={day} />
    </div>
  )
}

function Now({ day }: { day: RaceDay }) {
  const { running, next } = stampingOf(day.view, day.now)
  const forecast = useDerived(forecastNow)
  const online = useSyncPart((s) => s.online)
  const { other } = useDerived(dayStateNow)
  const minutes = other ? 0 : Math.round(forecast.driftS / 60)
  const startAt = next && forecast.heats.get(next.id)?.startAt
  const endsAt = running?.startedAt?.v ? running.startedAt.v + raceSecondsOf(day.view, running) * 1000 : null
  const ours = running ? day.runs.filter((r) => r.heat.id === running.id).map((r) => r.carName) : []
  return (
    <header className="wall-now">
      <h1>
        {running ? `${heatFirst(day.view, running)} on the track` : 'Track is empty'}
        {ours.length > 0 && <small>{ours.join(', ')}</small>}
        {endsAt !== null && day.now - endsAt > STAMP_DUE_MS && <small>its finish is not stamped yet</small>}
      </h1>
      <span className="wall-big">
        {endsAt !== null ? (
          <Countdown to={endsAt} of="race" what="end of the race clock" tenths={false} />
        ) : next && startAt !== null && startAt !== undefined ? (
          <Countdown
            to={startAt}
            of="start"
            what={`start of ${heatIn(day.view, next)}`}
            tenths={false}
            note={next.number ?? ''}
          />
        ) : null}
      </span>
      <span className="wall-drift" data-late={minutes >= 5 ? '' : undefined}>
        {minutes === 0 ? 'on time' : `${Math.abs(minutes)} min ${minutes > 0 ? 'late' : 'early'}`}
        {!online && <small className="text-hot">offline: may be old</small>}
      </span>
      <WallClock />
    </header>
  )
}

function Call({ day, run }: { day: RaceDay; run: RunInfo }) {
  const facts = factsOf(day.view, run)
  const open = facts.filter((f) => f.missing.length > 0).length
  const mechanicId = run.run?.mechanicId?.v ?? day.view.cars.get(run.carId)?.mechanicId
  return (
    <li className="wall-call" data-called={run.state === 'called' ? '' : undefined}>
      <span className="wall-big">
        {run.callAt !== null && (
          <Countdown to={run.callAt} of="call" what={`call of ${run.carName}`} tenths={false} />
        )}
      </span>
      <span className="wall-car">
        <b>{run.carName}</b>
        <small>
          {heatOfRun(run)} at {timeText(run.startAt ?? 0)} {plusMinusText(run.plusMinusS)},{' '}
          {[run.driverName, mechanicId && `mechanic ${day.nameOf(mechanicId)}`].filter(Boolean).join(', ')}
        </small>
      </span>
      <span className="wall-facts">
        <FactStrip facts={facts} size="row" />
        <small>{open === 0 ? 'ready' : `${open} of ${facts.length} to do`}</small>
      </span>
    </li>
  )
}

function LooseByCar({ day }: { day: RaceDay }) {
  const ends = useDerived(looseEndsNow)
  const byCar = new Map<string, LooseEnd[]>()
  for (const end of ends) {
    const car = end.carId === null ? 'The day' : (day.view.cars.get(end.carId)?.name ?? 'removed car')
    byCar.set(car, [...(byCar.get(car) ?? []), end])
  }
  const cars = [...byCar].slice(0, CARS)
  return (
    <section className="wall-loose" aria-label="Loose ends">
      <h2>
        Loose ends <span className="num">{ends.length}</span>
      </h2>
      {ends.length === 0 ? (
        <p className="wall-quiet">Nothing would stop a coming run</p>
      ) : (
        <ul>
          {cars.map(([car, own]) => (
            <li key={car}>
              <span className="min-w-0">
                <b>{car}</b>
                {/* The most urgent one in words; the others are read on a phone. */}
                <small>{own[0] && titleWithoutCar(own[0].title, car)}</small>
              </span>
              <span className="wall-count">{own.length} to do</span>
            </li>
          ))}
        </ul>
      )}
    </section>
  )
}
