'use client'
import { heatName } from '@/lib/board'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useDerived, useSession, useBoard } from '@/app/sync'
import { debriefParts, type RunInfo, runsNow } from '@/lib/card'
import { resultText } from '@/app/words/debrief-words'
import { Empty, Link, LinkButton, Ticket, TicketHead, timeText } from '@/app/ui'
import './debrief.css'

/** The team's runs that are over, the latest first, with what their debriefs still lack. */
export function DebriefListScreen() {
  const runs = useDerived(runsNow)
  const me = useSession()
  const view = useBoard()
  const meetingId = useMeetingId()
  const over = runs.filter((r) => r.state === 'finished' || r.state === 'on-track').reverse()
  const cars = [...new Map(over.map((r) => [r.carId, r.carName]))].sort((a, b) => a[1].localeCompare(b[1]))
  const mayImport = me.role === 'manager' || me.role === 'mechanic'
  return (
    <div className="page page-narrow">
      <h1>Debrief</h1>
      {mayImport && view.heats.live.length > 0 && (
        <div className="btn-row no-print">
          <LinkButton href={`/board/${meetingId}/debrief/import`}>Paste results or laps</LinkButton>
        </div>
      )}
      {over.length === 0 ? (
        <Empty
          title="No run is over yet"
          acts={<LinkButton href={`/board/${meetingId}/order`}>Running order</LinkButton>}
        >
          <p>When the start of a heat with one of the team’s cars is stamped, its debrief opens here.</p>
        </Empty>
      ) : (
        <>
          <Ticket label="Runs">
            <TicketHead title="Runs" sub="latest first" />
            <ul className="ruled">
              {over.map((run) => (
                <RunLine key={run.runId} run={run} />
              ))}
            </ul>
          </Ticket>
          <Ticket label="A car’s story">
            <TicketHead
              title="A car’s story"
              sub="all runs of a car in one table, and any two side by side"
            />
            <div className="ticket-body">
              <div className="btn-row">
                {cars.map(([id, name]) => (
                  <LinkButton key={id} href={`/board/${meetingId}/story/${id}`}>
                    {name}
                  </LinkButton>
                ))}
              </div>
            </div>
          </Ticket>
        </>
      )}
    </div>
  )
}

function RunLine({ run }: { run: RunInfo }) {
  const view = useBoard()
  const meetingId = useMeetingId()
  const missing = debriefParts(view, run.runId).filter((p) => p.state !== 'done')
  const result = run.run?.result?.v
  return (
    <li className="debrief-run">
      <Link href={`/board/${meetingId}/debrief/${run.runId}`} className="run-name">
        {run.carName}, {heatName(run.heat, run.raceClass?.name)}
      </Link>
      <span className="small">
        {run.round?.name} {timeText(run.startAt ?? 0)}
      </span>
      <span className="num">
        {result ? resultText(result) : run.state === 'on-track' ? 'on the track' : 'no result yet'}
      </span>
      <span className="small">
        {missing.length === 0
          ? 'all entered'
          : `open: ${missing.map((p) => p.name.toLowerCase()).join(', ')}`}
      </span>
    </li>
  )
}
