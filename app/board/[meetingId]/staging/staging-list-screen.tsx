'use client'
import { factsOf, nextRunOf } from '@/lib/card'
import { Countdown, Empty, FactStrip, LinkButton, Ticket, TicketHead } from '../../../ui'
import { useRaceDay } from '../use-race-day'

/** The next run of every car; a driver's own first. */
export function StagingListScreen() {
  const day = useRaceDay()
  const coming = day.runs.filter((r) => nextRunOf(day.runs, r.carId)?.runId === r.runId)
  const own = coming.filter((r) => r.driverId === day.me.personId)
  const others = coming.filter((r) => r.driverId !== day.me.personId)
  return (
    <div className="page page-narrow">
      <h1>Staging</h1>
      {coming.length === 0 && (
        <Empty
          title="No run to come"
          acts={<LinkButton href={`/board/${day.meetingId}/order`}>Running order</LinkButton>}
        >
          <p>
            When a heat with one of the team’s cars is in the running order, its driver checks and accepts the
            car here.
          </p>
        </Empty>
      )}
      {[...own, ...others].map((run) => (
        <Ticket key={run.runId} as="article" label={run.carName}>
          <TicketHead
            title={run.carName}
            sub={`${run.driverName}${run.driverId === day.me.personId ? ' (you)' : ''}, heat ${run.heat.number ?? '?'}, ${run.raceClass?.name ?? ''}`}
            stub={
              run.callAt !== null && (
                <Countdown to={run.callAt} of="call" what="call" tenths={false} note="" />
              )
            }
          />
          <FactStrip facts={factsOf(day.view, run)} />
          <div className="ticket-body">
            <LinkButton
              look={run.driverId === day.me.personId ? 'do' : 'plain'}
              wide
              href={`/board/${day.meetingId}/staging/${run.runId}`}
            >
              {run.driverId === day.me.personId ? 'Check and accept' : 'See it'}
            </LinkButton>
          </div>
        </Ticket>
      ))}
    </div>
  )
}
