'use client'
import { MissingRun } from '@/app/meeting/missing-run'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useDerived, useBoard, useNameOf, useEditContext, useSettle, SavedMark } from '@/app/sync'
import { useState } from 'react'
import { useParams } from 'next/navigation'
import { acceptRun, canWrite, sendBack } from '@/lib/board'
import {
  acceptState,
  cardRows,
  changesSinceLastRun,
  factsOf,
  runDigest,
  runName,
  type RunInfo,
  runsNow,
} from '@/lib/card'
import { RunPhotos } from '@/app/photos/run-photos'
import {
  Button,
  Caution,
  Confirm,
  Countdown,
  Dialog,
  FactStrip,
  FormField,
  HoldButton,
  LinkButton,
  Note,
  plusMinusText,
  Ticket,
  TicketHead,
  TicketSection,
  timeText,
} from '@/app/ui'
import { ChangesSince } from './changes-since'
import '@/app/meeting/order.css'
import './staging.css'

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
  const spread = plusMinusText(run.plusMinusS)
  return (
    <div className="page page-narrow">
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
                  {run.state === 'finished' ? 'finished' : 'started'}, heat {run.heat.number}
                </small>
              </>
            ) : run.callAt !== null ? (
              <Countdown
                to={run.callAt}
                of="call"
                what={`call of heat ${run.heat.number ?? ''}`}
                note={`heat ${run.heat.number ?? ''} ${spread}`}
              />
            ) : undefined
          }
        />
        <FactStrip facts={facts} />
        <AcceptNote run={run} />

        <TicketSection
          level={2}
          title={since.since ? `Changed since ${runName(since.since)}` : 'Changed'}
          aside={<span className="num">{since.changes.length}</span>}
        />
        <ChangesSince since={since} />

        <TicketSection
          level={2}
          title="Not ready yet"
          aside={<span className="num">{open.flatMap((f) => f.missing).length}</span>}
        />
        {open.length === 0 ? (
          <p className="ticket-body">Card, pack, tires and checks are all ready.</p>
        ) : (
          <ul className="ruled" aria-label="Not ready yet">
            {open.map((f) =>
              f.missing.map((m) => (
                <li key={`${f.fact}${m}`} className="missing-row">
                  <span className="small">{f.fact}</span>
                  <span>{m}</span>
                </li>
              )),
            )}
          </ul>
        )}
        <Decision run={run} started={started} openCount={open.length} />
      </Ticket>
      <Caution kind="wheels">
        Transmitter on first, then the car. Keep hands and sleeves clear of the wheels until it is on the
        track.
      </Caution>
      <RunPhotos meetingId={meetingId} runId={run.runId} />
      <div className="btn-row no-print">
        <LinkButton href={`/board/${meetingId}/card/${run.carId}`}>The whole card</LinkButton>
        <LinkButton href={`/board/${meetingId}/staging`}>Other runs</LinkButton>
      </div>
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
      <b>The accept at {timeText(accepted.at)} is void:</b> something it covers changed since. {mark}
    </Note>
  )
}

function Decision({ run, started, openCount }: { run: RunInfo; started: boolean; openCount: number }) {
  const meetingId = useMeetingId()
  const ctx = useEditContext()
  const view = useBoard()
  const settle = useSettle()
  const [sending, setSending] = useState(false)
  const [why, setWhy] = useState('')
  const [asking, setAsking] = useState(false)
  const may = canWrite(ctx, 'meeting', 'runs', run.runId, 'accepted')
  const valid = acceptState(view, run) === 'valid'
  // An accept of nothing is mostly a card that was never filled in.
  const isEmpty = cardRows(view, run.carId).every((r) => r.assigned === null)
  if (started) {
    const record = run.run?.record?.v
    const isOwn = canWrite(ctx, 'meeting', 'runs', run.runId, 'feel')
    const debrief = `/board/${meetingId}/debrief/${run.runId}`
    return (
      <>
        <Note>
          {record
            ? `The record of this run was saved at the start, ${record.accepted ? 'with a valid accept' : 'without a valid accept'}. Changes from now on belong to the next run.`
            : 'The heat has started.'}
        </Note>
        <div className="decision no-print">
          {isOwn && (
            <LinkButton look="do" wide href={`${debrief}/said`}>
              How did it run?
            </LinkButton>
          )}
          <LinkButton wide href={debrief}>
            Debrief
          </LinkButton>
        </div>
      </>
    )
  }
  const accept = () =>
    settle(
      acceptRun(ctx, view, { runId: run.runId, digest: runDigest(view, run) }),
      `${run.carName} accepted`,
    )
  const back = () => {
    if (settle(sendBack(ctx, view, { runId: run.runId, why }), `${run.carName} sent back`)) {
      setSending(false)
      setWhy('')
    }
  }
  return (
    <>
      {/* Always in sight and above the bar, however much is still open above it. */}
      <div className="decision no-print">
        {!valid && (
          <HoldButton
            onHeld={isEmpty ? () => setAsking(true) : accept}
            isDisabled={!may}
            says={`accept ${run.carName} for heat ${run.heat.number ?? ''}`}
          >
            {openCount ? 'Hold to accept as it is' : 'Hold to accept'}
          </HoldButton>
        )}
        <Button wide isDisabled={!may} onPress={() => setSending(true)}>
          Send back with a reason
        </Button>
      </div>
      <div className="ticket-body no-print">
        {!may && <p className="small">The car’s driver or a manager accepts it.</p>}
        {may && !valid && (
          <p className="small">
            Your accept covers every assigned and fitted value, the motor, the speed control, the pack and the
            tires. Any later change to one of them voids it.
          </p>
        )}
        <Confirm
          title="Accept an empty card?"
          isOpen={asking}
          onOpenChange={setAsking}
          act="Accept it empty"
          onConfirm={accept}
        >
          Nothing is assigned on the card of {run.carName}. You would accept whatever is in the car.
        </Confirm>
        <Dialog
          title={`Send ${run.carName} back`}
          isOpen={sending}
          onOpenChange={setSending}
          acts={() => (
            <Button look="do" isDisabled={!why.trim()} onPress={back}>
              Send back
            </Button>
          )}
        >
          <FormField
            label="What is wrong?"
            value={why}
            onChange={setWhy}
            multiline
            maxLength={400}
            autoFocus
            hint="The mechanics see it right away at the top of their loose ends."
          />
        </Dialog>
      </div>
    </>
  )
}
