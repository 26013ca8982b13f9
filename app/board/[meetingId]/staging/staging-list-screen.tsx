'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useDerived, useNow, useSession, useBoard } from '@/app/sync'
import { factsOf, nextRunOf, runsNow, type RunInfo, heatOfRun } from '@/lib/card'
import { Countdown, Empty, FactStrip, LinkButton, Ticket, TicketHead } from '@/app/ui'
import { CallsAsk } from '@/app/calls/calls-ask'

/** How long a driver is asked how it ran, ms. Our choice. */
const ASKED_MS = 60 * 60_000

/** The driver's own run that is just over, and of which they have said nothing yet. */
const unsaidOf = (runs: readonly RunInfo[], personId: string, now: number): RunInfo | undefined =>
  runs.findLast(
    (r) =>
      r.driverId === personId &&
      r.state === 'finished' &&
      !r.run?.feel?.v &&
      now - (r.heat.finishedAt?.v ?? r.startAt ?? 0) < ASKED_MS,
  )

/** The next run of every car; a driver's own first, and before it how the last one ran, unless a call has come. */
export function StagingListScreen() {
  const runs = useDerived(runsNow)
  const me = useSession()
  const meetingId = useMeetingId()
  const view = useBoard()
  const coming = runs.filter((r) => nextRunOf(runs, r.carId)?.runId === r.runId)
  const own = coming.filter((r) => r.driverId === me.personId)
  const others = coming.filter((r) => r.driverId !== me.personId)
  const now = useNow(30_000)
  const unsaid = own.some((r) => r.state === 'called') ? undefined : unsaidOf(runs, me.personId, now)
  return (
    <div className="page page-narrow">
      <h1>Staging</h1>
      {unsaid && (
        <Ticket as="article" label={`${unsaid.carName}, after the run`} tone="calm">
          <TicketHead title={unsaid.carName} sub={`${heatOfRun(unsaid)} is over`} />
          <div className="ticket-body">
            <LinkButton look="do" wide href={`/board/${meetingId}/debrief/${unsaid.runId}/said`}>
              How did it run?
            </LinkButton>
          </div>
        </Ticket>
      )}
      <CallsAsk />
      {coming.length === 0 && (
        <Empty
          title="No runs coming up"
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
            sub={`${run.driverName}${run.driverId === me.personId ? ' (you)' : ''}, ${heatOfRun(run)}, ${run.raceClass?.name ?? ''}`}
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
