'use client'
import { MissingRun } from '@/app/meeting/missing-run'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { runsNow } from '@/lib/card'
import { useDerived, useEditContext } from '@/app/sync'
import { useParams } from 'next/navigation'
import { canWrite, heatName } from '@/lib/board'
import { clockText } from '@/lib/core/clock-text'
import { LinkButton, Note, Ticket, TicketHead } from '@/app/ui'
import { DriverQuestions } from '../../driver-questions'
import '../../debrief.css'

/** The driver's own minute after the run. */
export function SaidScreen() {
  const runs = useDerived(runsNow)
  const meetingId = useMeetingId()
  const ctx = useEditContext()
  const { runId } = useParams<{ runId: string }>()
  const run = runs.find((r) => r.runId === runId)
  if (!run)
    return <MissingRun acts={<LinkButton href={`/board/${meetingId}/debrief`}>All runs</LinkButton>} />
  const may = canWrite(ctx, 'meeting', 'runs', runId, 'feel')
  const result = run.run?.result?.v
  return (
    <div className="page page-narrow">
      <Ticket as="article" label={`How ${run.carName} ran`}>
        <TicketHead
          level={1}
          title={run.carName}
          sub={`${run.driverName}, ${heatName(run.heat, run.raceClass?.name)}${result && !result.ended ? `, ${result.laps} laps in ${clockText(result.seconds)}` : ''}`}
        />
        {!may && <Note>The car’s driver answers these. You can read along.</Note>}
        <DriverQuestions run={run} />
        <div className="ticket-body no-print">
          <LinkButton wide href={`/board/${meetingId}/debrief/${runId}`}>
            The whole debrief
          </LinkButton>
        </div>
      </Ticket>
    </div>
  )
}
