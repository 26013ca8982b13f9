'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useDerived, useSession, useBoard } from '@/app/sync'
import { factsOf, nextRunOf, runsNow } from '@/lib/card'
import { Countdown, Empty, FactStrip, LinkButton, Ticket, TicketHead } from '@/app/ui'

/** The next run of every car; a driver's own first. */
export function StagingListScreen() {
  const runs = useDerived(runsNow)
  const me = useSession()
  const meetingId = useMeetingId()
  const view = useBoard()
  const coming = runs.filter((r) => nextRunOf(runs, r.carId)?.runId === r.runId)
  const own = coming.filter((r) => r.driverId === me.personId)
  const others = coming.filter((r) => r.driverId !== me.personId)
  return (
    <div className="page page-narrow">
      <h1>Staging</h1>
      {coming.length === 0 && (
        <Empty
          title="No run to come"
          acts={<LinkButton href={`/board/${meetingId}/order`}>Running order</LinkButton>}
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
            sub={`${run.driverName}${run.driverId === me.personId ? ' (you)' : ''}, heat ${run.heat.number ?? '?'}, ${run.raceClass?.name ?? ''}`}
            stub={
              run.callAt !== null && (
                <Countdown to={run.callAt} of="call" what="call" tenths={false} note="" />
              )
            }
          />
          <FactStrip facts={factsOf(view, run)} />
          <div className="ticket-body">
            <LinkButton
              look={run.driverId === me.personId ? 'do' : 'plain'}
              wide
              href={`/board/${meetingId}/staging/${run.runId}`}
            >
              {run.driverId === me.personId ? 'Check and accept' : 'See it'}
            </LinkButton>
          </div>
        </Ticket>
      ))}
    </div>
  )
}
