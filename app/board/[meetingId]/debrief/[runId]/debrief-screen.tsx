'use client'
import { heatName } from '@/lib/board'
import { MissingRun } from '@/app/meeting/missing-run'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useDerived, useBoard } from '@/app/sync'
import { useState, type ComponentType } from 'react'
import { useParams } from 'next/navigation'
import {
  byMissing,
  debriefParts,
  type DebriefPart,
  type DebriefPartId,
  type RunInfo,
  runsNow,
} from '@/lib/card'
import { Button, Empty, LinkButton, Ticket, TicketHead, timeText } from '@/app/ui'
import { RunPhotos } from '@/app/photos/run-photos'
import { ChargePart } from '../charge-part'
import { DebriefPaper } from '../debrief-paper'
import { DriverQuestions } from '../driver-questions'
import { LapsPart } from '../laps-part'
import { NotesAbout } from '@/app/meeting/notes-about'
import type { PartProps } from '../part-props'
import { ProjectedPart } from '../projected-part'
import { ResultPart } from '../result-part'
import { TemperaturesPart } from '../temperatures-part'
import { TiresPart } from '../tires-part'
import { TrackOfRun } from '../track-of-run'
import '../debrief.css'
import '../debrief-paper.css'

const PARTS: Readonly<Record<DebriefPartId, ComponentType<PartProps>>> = {
  temperatures: TemperaturesPart,
  result: ResultPart,
  words: DriverQuestions,
  charge: ChargePart,
  tires: TiresPart,
  laps: LapsPart,
}
const STATE_WORDS = { missing: 'missing', partly: 'in part', done: 'entered' } as const

/** What came of one run, filled by several people at once. */
export function DebriefScreen() {
  const meetingId = useMeetingId()
  const runs = useDerived(runsNow)
  const { runId } = useParams<{ runId: string }>()
  const run = runs.find((r) => r.runId === runId)
  if (!run)
    return <MissingRun acts={<LinkButton href={`/board/${meetingId}/debrief`}>All runs</LinkButton>} />
  if (run.state !== 'finished' && run.state !== 'on-track')
    return (
      <div className="page page-narrow">
        <Empty
          title={`${run.carName} has not run yet`}
          level={1}
          acts={
            <>
              <LinkButton href={`/board/${meetingId}/staging/${runId}`}>Its staging view</LinkButton>
              <LinkButton href={`/board/${meetingId}/debrief`}>All runs</LinkButton>
            </>
          }
        >
          <p>The debrief opens once somebody stamps the start of its heat.</p>
        </Empty>
      </div>
    )
  return <Debrief key={runId} run={run} />
}

function Debrief({ run }: { run: RunInfo }) {
  const view = useBoard()
  const meetingId = useMeetingId()
  const parts = debriefParts(view, run.runId)
  // As it was when the sheet was opened: nothing moves away under a finger while several people fill it.
  const [order] = useState(() => byMissing(parts).map((p) => p.id))
  const shown = order.flatMap((id) => parts.find((p) => p.id === id) ?? [])
  const finishedAt = run.heat.finishedAt?.v
  return (
    <>
      <div className="page no-print">
        <div className="split debrief-split">
          <div className="grid grid-cols-1 gap-4 min-w-0 content-start">
            <Ticket as="article" label={`Debrief of ${run.carName}`}>
              <TicketHead
                level={1}
                title={run.carName}
                sub={[
                  run.driverName,
                  run.round?.name,
                  heatName(run.heat, run.raceClass?.name).replace(' ', '\u00A0'),
                ]
                  .filter(Boolean)
                  .join(', ')}
                stub={
                  <>
                    <span className="num">{timeText(finishedAt ?? run.startAt ?? 0)}</span>
                    <small>
                      {finishedAt ? 'finish' : run.state === 'finished' ? 'started' : 'on the track'}
                    </small>
                  </>
                }
              />
              <PartsStrip parts={parts} />
            </Ticket>
            {shown.map((part) => (
              <PartTicket key={part.id} run={run} part={part} />
            ))}
            <Ticket id="notes" label="Notes">
              <TicketHead title="Notes" />
              <NotesAbout about={`run:${run.runId}`} label="Note on this run" />
            </Ticket>
            <RunPhotos meetingId={meetingId} runId={run.runId} />
          </div>
          <div className="grid grid-cols-1 gap-4 min-w-0 content-start">
            <ProjectedPart run={run} />
            <div className="btn-row no-print">
              <LinkButton href={`/board/${meetingId}/card/${run.carId}`}>The card</LinkButton>
              <LinkButton href={`/board/${meetingId}/debrief`}>Other runs</LinkButton>
              <Button onPress={() => window.print()}>Print</Button>
            </div>
            <TrackOfRun run={run} />
          </div>
        </div>
      </div>
      <DebriefPaper run={run} order={order} />
    </>
  )
}

/** What is there and what is not, each a way down the page. */
function PartsStrip({ parts }: { parts: readonly DebriefPart[] }) {
  return (
    <nav className="parts-strip" aria-label="Parts of the debrief">
      {parts.map((p) => (
        <a key={p.id} href={`#${p.id}`} data-state={p.state}>
          <PartMark state={p.state} /> {p.name} <span className="small">{STATE_WORDS[p.state]}</span>
        </a>
      ))}
    </nav>
  )
}

function PartTicket({ run, part }: PartProps & { part: DebriefPart }) {
  const Part = PARTS[part.id]
  return (
    <Ticket id={part.id} label={part.name} tone={part.state === 'done' ? 'quiet' : 'plain'}>
      <TicketHead title={part.name} sub={STATE_WORDS[part.state]} />
      <Part run={run} />
    </Ticket>
  )
}

function PartMark({ state }: { state: DebriefPart['state'] }) {
  return (
    <svg width="12" height="12" viewBox="0 0 12 12" aria-hidden="true" className="part-mark">
      <rect x="1" y="1" width="10" height="10" fill="none" stroke="currentColor" strokeWidth="2" />
      {state !== 'missing' && (
        <rect
          x="1"
          y={state === 'done' ? 1 : 6}
          width="10"
          height={state === 'done' ? 10 : 5}
          fill="currentColor"
        />
      )}
    </svg>
  )
}
