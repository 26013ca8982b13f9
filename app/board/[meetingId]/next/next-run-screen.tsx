'use client'
import { clockText } from '@/lib/core/clock-text'
import { forecastNow, runName, type RunInfo, heatOfRun } from '@/lib/card'
import { useDerived } from '@/app/sync'
import {
  Countdown,
  Empty,
  LinkButton,
  Note,
  plusMinusText,
  shortDayText,
  Ticket,
  TicketHead,
  TicketSection,
  timeText,
} from '@/app/ui'
import { useRaceDay } from '@/app/meeting/use-race-day'
import './next-run.css'

const DAY_MS = 24 * 3_600_000

/** When the team drives next, and after that: a guest's first screen. Nothing to press. */
export function NextRunScreen() {
  const { runs, now, meetingId } = useRaceDay()
  const forecast = useDerived(forecastNow)
  const onTrack = runs.filter((r) => r.state === 'on-track')
  const coming = runs.filter((r) => r.state === 'upcoming' || r.state === 'called')
  // The latest first.
  const done = runs
    .filter((r) => r.state === 'finished' && r.run?.result?.v)
    .slice(-4)
    .reverse()
  const [next, ...later] = coming
  const minutes = Math.round(forecast.driftS / 60)
  return (
    <div className="page page-narrow">
      {onTrack.map((run) => (
        <Note key={run.runId}>
          <b>{run.carName} is on the track now,</b> {heatOfRun(run)}, driven by {run.driverName}.
        </Note>
      ))}
      {next ? (
        <Ticket as="article" label="Our next run">
          <TicketHead
            level={1}
            title="Our next run"
            sub={
              next.startAt !== null && Math.abs(next.startAt - now) > DAY_MS
                ? shortDayText(next.startAt)
                : minutes === 0
                  ? 'the day is on time'
                  : `the day is ${Math.abs(minutes)} min ${minutes > 0 ? 'late' : 'early'}`
            }
          />
          <div className="next-run">
            {next.startAt !== null && (
              <p className="next-clock">
                <Countdown to={next.startAt} of="start" what={`start of ${next.carName}`} tenths={false} />
              </p>
            )}
            <p className="next-car">{next.carName}</p>
            <p>{[next.driverName, heatOfRun(next), next.raceClass?.name].filter(Boolean).join(', ')}</p>
            {next.startAt !== null && (
              <p className="num">
                about {timeText(next.startAt)} {plusMinusText(next.plusMinusS)}
              </p>
            )}
          </div>
          {later.length > 0 && <TicketSection level={2} title="After that" />}
          <Runs runs={later.slice(0, 8)} label="Later runs" />
        </Ticket>
      ) : (
        <Empty
          level={1}
          title="No runs coming up"
          acts={<LinkButton href={`/board/${meetingId}/order`}>Running order</LinkButton>}
        >
          <p>
            {runs.length === 0
              ? 'The running order has no car of the team yet. It shows up here as soon as it does.'
              : 'All of the team’s runs are over. The running order has their results.'}
          </p>
        </Empty>
      )}
      {done.length > 0 && (
        <Ticket label="Latest results">
          <TicketHead title="Latest results" />
          <ul className="ruled" aria-label="Latest results">
            {done.map((run) => (
              <li key={run.runId} className="next-row">
                <span className="min-w-0">
                  <b>{run.carName}</b>, {runName(run)}
                </span>
                <span className="num">
                  {run.run?.result?.v?.laps}/{clockText(run.run?.result?.v?.seconds ?? 0)}
                </span>
              </li>
            ))}
          </ul>
        </Ticket>
      )}
    </div>
  )
}

function Runs({ runs, label }: { runs: readonly RunInfo[]; label: string }) {
  if (runs.length === 0) return null
  return (
    <ul className="ruled" aria-label={label}>
      {runs.map((run) => (
        <li key={run.runId} className="next-row">
          <span className="min-w-0">
            <b>{run.carName}</b>, {run.driverName}, {runName(run)}
          </span>
          <span className="num">{run.startAt === null ? '–' : timeText(run.startAt)}</span>
        </li>
      ))}
    </ul>
  )
}
