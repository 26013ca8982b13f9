'use client'
import { useState } from 'react'
import { useParams } from 'next/navigation'
import {
  acceptState,
  cardRows,
  checklistsOf,
  factsOf,
  nextRunOf,
  openFollowUps,
  rowIsLoose,
  type RunInfo,
} from '@/lib/card'
import { useLooking, useOthersAt } from '../../../../sync'
import {
  Button,
  Countdown,
  Empty,
  FactStrip,
  LinkButton,
  Note,
  plusMinusText,
  Ticket,
  TicketHead,
  timeText,
} from '../../../../ui'
import { useRaceDay, type RaceDay } from '../../use-race-day'
import { CardChecklists } from './card-checklists'
import { CardFollowUps } from './card-follow-ups'
import { CardNotes } from './card-notes'
import { CardPaper } from './card-paper'
import { CardProjections } from './card-projections'
import { CardProposals } from './card-proposals'
import { CardValues } from './card-values'
import { Comparison } from './comparison'

import { useAnchor } from './use-anchor'
import '../card.css'

/** A car's setup card: assigned and fitted side by side, in the order in which a mechanic works. */
export function CardScreen() {
  const day = useRaceDay()
  const { carId } = useParams<{ carId: string }>()
  const car = day.view.cars.get(carId)
  if (!car || car.removed)
    return (
      <div className="page page-narrow">
        <Empty
          title="This car is not in the kit"
          level={1}
          acts={<LinkButton href={`/board/${day.meetingId}/card`}>All cards</LinkButton>}
        >
          <p>It was removed, or the link belongs to another team.</p>
        </Empty>
      </div>
    )
  return <Card key={carId} day={day} carId={carId} />
}

function Card({ day, carId }: { day: RaceDay; carId: string }) {
  const [comparing, setComparing] = useState(false)
  useLooking({ carId })
  useAnchor()
  const others = useOthersAt(carId)
  const car = day.view.cars.get(carId)
  const run = nextRunOf(day.runs, carId)
  const last = day.runs.findLast(
    (r) => r.carId === carId && (r.state === 'finished' || r.state === 'on-track'),
  )
  return (
    <>
      <div className="page no-print">
        <div className="split card-split">
          <div className="grid grid-cols-1 gap-4 min-w-0 content-start">
            <Ticket as="article" label={`Setup card of ${car?.name ?? 'the car'}`}>
              <CardHead day={day} carId={carId} run={run} />
              {run && <FactStrip facts={factsOf(day.view, run)} />}
              <AcceptNote day={day} run={run} />
              {/* Always there, and one line: who comes and goes must not move the buttons below under a finger. */}
              <p className="ticket-body small card-others" aria-live="polite">
                {others.length > 0 &&
                  `Also looking at this card: ${[...new Set(others.map((o) => o.name))].join(', ')}`}{' '}
              </p>
              <Jumps day={day} carId={carId} run={run} />
              <CardValues day={day} carId={carId} run={run} />
            </Ticket>
          </div>
          <div className="grid grid-cols-1 gap-4 min-w-0 content-start">
            <CardProjections day={day} carId={carId} run={run} />
            <CardFollowUps day={day} carId={carId} />
            <CardProposals day={day} carId={carId} />
            <CardChecklists day={day} run={run} last={last} />
            <CardNotes day={day} carId={carId} />
            <div className="btn-row">
              <Button onPress={() => setComparing(true)}>Compare with a run or another car</Button>
              <LinkButton href={`/board/${day.meetingId}/what-if/${carId}`}>What if</LinkButton>
              <LinkButton href={`/board/${day.meetingId}/history?car=${carId}`}>
                History of this card
              </LinkButton>
              {run && <LinkButton href={`/board/${day.meetingId}/staging/${run.runId}`}>Staging</LinkButton>}
              <Button onPress={() => window.print()}>Print (A5)</Button>
            </div>
          </div>
        </div>
        {comparing && <Comparison day={day} carId={carId} onClose={() => setComparing(false)} />}
      </div>
      <CardPaper day={day} carId={carId} run={run} />
    </>
  )
}

function CardHead({ day, carId, run }: { day: RaceDay; carId: string; run: RunInfo | undefined }) {
  const car = day.view.cars.get(carId)
  const spread = plusMinusText(run?.plusMinusS ?? 0)
  return (
    <TicketHead
      level={1}
      title={car?.name ?? 'Car'}
      sub={[
        day.nameOf(car?.driverId),
        run?.raceClass?.name ?? (car?.drive === '2wd' ? '2WD' : car?.drive === '4wd' ? '4WD' : null),
        run?.entry.carNumber || car?.carNumber ? `car ${run?.entry.carNumber ?? car?.carNumber}` : null,
      ]
        .filter(Boolean)
        .join(', ')}
      stub={
        run?.callAt ? (
          <Countdown
            to={run.callAt}
            of="call"
            what={`call of heat ${run.heat.number ?? ''}`}
            tenths={false}
            note={`at ${timeText(run.callAt)}, heat ${run.heat.number ?? ''} ${spread}`}
          />
        ) : (
          <small>no coming run</small>
        )
      }
    />
  )
}

function AcceptNote({ day, run }: { day: RaceDay; run: RunInfo | undefined }) {
  if (!run) return null
  const accepted = run.run?.accepted
  const sent = run.run?.sentBack
  const accept = acceptState(day.view, run)
  return (
    <>
      {accepted && accept === 'void' && (
        <Note tone="hot">
          {day.nameOf(accepted.by)}’s accept at {timeText(accepted.at)} is void: something it covers changed
          since.
        </Note>
      )}
      {accepted && accept === 'valid' && (
        <Note>
          Accepted by {day.nameOf(accepted.by)} at {timeText(accepted.at)}. Any change after that voids it.
        </Note>
      )}
      {sent?.v && (
        <Note tone="hot">
          Sent back by {day.nameOf(sent.by)} at {timeText(sent.at)}: “{sent.v}”
        </Note>
      )}
    </>
  )
}

/** On a phone the card is long: what is open below is one tap away. */
function Jumps({ day, carId, run }: { day: RaceDay; carId: string; run: RunInfo | undefined }) {
  const loose = cardRows(day.view, carId).filter(rowIsLoose).length
  const followUps = openFollowUps(day.view, carId).length
  const checks = run
    ? checklistsOf(day.view, run.runId, ['before-staging', 'inspection']).reduce((n, l) => n + l.open, 0)
    : 0
  const proposals = day.view.proposals.live.filter(
    (p) => p.carId === carId && p.value && !p.outcome?.v,
  ).length
  const to = [
    { id: 'projections', label: 'What this does', count: null },
    { id: 'follow-ups', label: 'Follow-ups', count: followUps },
    { id: 'proposals', label: 'Proposals', count: proposals },
    { id: 'checklists', label: 'Checks', count: checks },
    { id: 'notes', label: 'Notes', count: null },
  ].filter((j) => j.count === null || j.count > 0)
  return (
    <nav className="card-jumps only-phone" aria-label={`On this card; ${loose} loose`}>
      {to.map((j) => (
        <a key={j.id} href={`#${j.id}`}>
          {j.label} {j.count !== null && <b className="num">{j.count}</b>}
        </a>
      ))}
    </nav>
  )
}
