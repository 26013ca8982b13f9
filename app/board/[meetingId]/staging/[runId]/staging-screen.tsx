'use client'
import { MissingRun } from '@/app/meeting/missing-run'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useDerived, useBoard, useNameOf, SavedMark } from '@/app/sync'
import { useParams } from 'next/navigation'
import { lazy, Suspense } from 'react'
import {
  acceptState,
  changesSinceLastRun,
  factsOf,
  heatOfRun,
  runName,
  runsNow,
  type RunInfo,
} from '@/lib/card'
import {
  Caution,
  Countdown,
  FactStrip,
  LinkButton,
  Note,
  plusMinusText,
  Ticket,
  TicketHead,
  TicketSection,
  timeText,
} from '@/app/ui'
import { FACT_WORDS } from '@/app/ui/fact-strip'
import { loadAhead } from '@/app/ui/load-ahead'
import { CallsAsk } from '@/app/calls/calls-ask'
import { useWakeLock } from '@/app/calls/use-wake-lock'
import { ChangesSince } from './changes-since'
import { Decision } from './decision'
import { HowOld } from './how-old'
import '@/app/meeting/order.css'
import './staging.css'

// Nobody waits for them before a start. Last on the page, so that nothing moves when they come.
const RunPhotos = lazy(
  loadAhead(() => import('@/app/photos/run-photos').then((m) => ({ default: m.RunPhotos }))),
)

/** The driver's ten seconds before staging: when, what changed, what is not yet true, accept or send back. */
export function StagingScreen() {
  const runs = useDerived(runsNow)
  const meetingId = useMeetingId()
  const { runId } = useParams<{ runId: string }>()
  const run = runs.find((r) => r.runId === runId)
  if (!run)
    return <MissingRun acts={<LinkButton href={`/board/${meetingId}/staging`}>All coming runs</LinkButton>} />
  return <Staging run={run} />
}

function Staging({ run }: { run: RunInfo }) {
  const view = useBoard()
  const runs = useDerived(runsNow)
  const meetingId = useMeetingId()
  const facts = factsOf(view, run)
  const open = facts.filter((f) => f.fact !== 'accepted' && f.state !== 'yes')
  const since = changesSinceLastRun(view, runs, run)
  const started = run.state === 'on-track' || run.state === 'finished'
  // Whoever waits here for the call has wet hands and looks, and does not tap.
  useWakeLock(!started)
  const spread = plusMinusText(run.plusMinusS)
  return (
    <div className="page page-narrow page-staging">
      <Ticket as="article" label={`${run.carName}, staging`}>
        <TicketHead
          level={1}
          title={run.carName}
          sub={`${run.driverName}, ${run.raceClass?.name ?? 'no class'}${run.entry.carNumber ? `, car ${run.entry.carNumber}` : ''}`}
          stub={
            started ? (
              <>
                <span className="num">{timeText(run.heat.finishedAt?.v ?? run.startAt ?? 0)}</span>
                <small>
                  {run.state === 'finished' ? 'finished' : 'started'}, {heatOfRun(run)}
                </small>
              </>
            ) : run.callAt !== null ? (
              <Countdown
                to={run.callAt}
                of="call"
                what={`call of ${heatOfRun(run)}`}
                note={`${heatOfRun(run)} ${spread}`}
              />
            ) : undefined
          }
        />
        <FactStrip facts={facts} />
        <HowOld />
        <AcceptNote run={run} />

        <TicketSection
          level={2}
          title={since.since ? `Changed since ${runName(since.since)}` : 'Changed'}
          aside={<span className="num">{since.changes.length}</span>}
        />
        <ChangesSince since={since} />

        <TicketSection
          level={2}
          title={open.length === 0 ? 'Ready' : 'Not ready yet'}
          aside={open.length > 0 && <span className="num">{open.flatMap((f) => f.missing).length}</span>}
        />
        {open.length === 0 ? (
          <p className="ticket-body">Card, pack, tires and checks are all ready: off to staging.</p>
        ) : (
          <ul className="ruled" aria-label="Not ready yet">
            {open.map((f) =>
              f.missing.map((m) => (
                <li key={`${f.fact}${m}`} className="missing-row">
                  <span className="small">{FACT_WORDS[f.fact]}</span>
                  <span>{m}</span>
                </li>
              )),
            )}
          </ul>
        )}
        <Decision run={run} started={started} openCount={open.length} />
      </Ticket>
      <CallsAsk />
      <Caution kind="wheels">
        Transmitter on first, then the car. Keep hands and sleeves clear of the wheels until it is on the
        track.
      </Caution>
      <div className="btn-row no-print">
        <LinkButton href={`/board/${meetingId}/card/${run.carId}`}>The whole card</LinkButton>
        <LinkButton href={`/board/${meetingId}/staging`}>Other runs</LinkButton>
      </div>
      <Suspense fallback={null}>
        <RunPhotos meetingId={meetingId} runId={run.runId} />
      </Suspense>
    </div>
  )
}

function AcceptNote({ run }: { run: RunInfo }) {
  const view = useBoard()
  const nameOf = useNameOf()
  const state = acceptState(view, run)
  const accepted = run.run?.accepted
  const sent = run.run?.sentBack
  const mark = (
    <SavedMark doc="meeting" collection="runs" recordId={run.runId} field={['accepted', 'sentBack']} />
  )
  if (sent?.v)
    return (
      <Note tone="hot">
        Sent back by {nameOf(sent.by)} at {timeText(sent.at)}: “{sent.v}” {mark}
      </Note>
    )
  if (!accepted) return null
  return state === 'valid' ? (
    <Note>
      Accepted by {nameOf(accepted.by)} at {timeText(accepted.at)}. {mark}
    </Note>
  ) : (
    <Note tone="hot">
      <b>Changed since it was accepted at {timeText(accepted.at)}:</b> check it and accept again. {mark}
    </Note>
  )
}
