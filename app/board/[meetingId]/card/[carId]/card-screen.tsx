'use client'
import { MissingCar } from '@/app/meeting/missing-car'
import { lazy, Suspense, useRef } from 'react'
import { useParams } from 'next/navigation'
import {
  acceptState,
  cardRows,
  checklistsOf,
  factsNow,
  nextRunOf,
  openFollowUps,
  rowIsLoose,
  type RunInfo,
  runsNow,
  heatOfRun,
} from '@/lib/card'
import { useLooking, useOthersAt, useBoard, useDerived, useNameOf } from '@/app/sync'
import { Countdown, FactStrip, Note, plusMinusText, Ticket, TicketHead, timeText } from '@/app/ui'
import { CardPaper } from './card-paper'
import { CardValues } from './card-values'
import { useAnchor } from './use-anchor'
import { LateLine } from '@/app/ui/late-part'
import { loadAhead } from '@/app/ui/load-ahead'
import '../card.css'

const side = loadAhead(() => import('./card-side').then((m) => ({ default: m.CardSide })))
const CardSide = lazy(side)

/** A car's setup card: assigned and fitted side by side, in the order in which a mechanic works. */
export function CardScreen() {
  const view = useBoard()
  const { carId } = useParams<{ carId: string }>()
  const car = view.cars.get(carId)
  if (!car || car.removed) return <MissingCar />
  return <Card key={carId} carId={carId} />
}

function Card({ carId }: { carId: string }) {
  const view = useBoard()
  const runs = useDerived(runsNow)
  useLooking({ carId })
  const ticket = useRef<HTMLDivElement>(null)
  useAnchor(ticket)
  const others = useOthersAt(carId)
  const car = view.cars.get(carId)
  const run = nextRunOf(runs, carId)
  const last = runs.findLast((r) => r.carId === carId && (r.state === 'finished' || r.state === 'on-track'))
  return (
    <>
      <div className="page no-print">
        <div className="split card-split">
          <div ref={ticket} className="grid grid-cols-1 gap-4 min-w-0 content-start">
            <Ticket as="article" label={`Setup card of ${car?.name ?? 'the car'}`}>
              <CardHead carId={carId} run={run} />
              {run && <Facts runId={run.runId} />}
              <AcceptNote run={run} />
              {/* Always there, and one line: who comes and goes must not move the buttons below under a finger. */}
              <p className="ticket-body small card-others" aria-live="polite">
                {others.length > 0 &&
                  `Also looking at this card: ${[...new Set(others.map((o) => o.name))].join(', ')}`}{' '}
              </p>
              <Jumps carId={carId} run={run} />
              <CardValues carId={carId} run={run} />
            </Ticket>
          </div>
          {/* Below what a mechanic came for, or beside it in a column of its own: nothing moves when it comes. */}
          <Suspense fallback={<LateLine part={side} />}>
            <CardSide carId={carId} run={run} last={last} />
          </Suspense>
        </div>
      </div>
      <CardPaper carId={carId} run={run} />
    </>
  )
}

const Facts = ({ runId }: { runId: string }) => <FactStrip facts={useDerived(factsNow, runId)} />

function CardHead({ carId, run }: { carId: string; run: RunInfo | undefined }) {
  const view = useBoard()
  const nameOf = useNameOf()
  const car = view.cars.get(carId)
  const spread = plusMinusText(run?.plusMinusS ?? 0)
  return (
    <TicketHead
      level={1}
      title={car?.name ?? 'Car'}
      sub={[
        nameOf(car?.driverId),
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
            what={`call of ${heatOfRun(run)}`}
            tenths={false}
            note={`at ${timeText(run.callAt)}, ${heatOfRun(run)} ${spread}`}
          />
        ) : (
          <small>no coming run</small>
        )
      }
    />
  )
}

function AcceptNote({ run }: { run: RunInfo | undefined }) {
  const view = useBoard()
  const nameOf = useNameOf()
  if (!run) return null
  const accepted = run.run?.accepted
  const sent = run.run?.sentBack
  const accept = acceptState(view, run)
  return (
    <>
      {accepted && accept === 'void' && (
        <Note tone="hot">
          Changed since {nameOf(accepted.by)} accepted it at {timeText(accepted.at)}: it needs another accept.
        </Note>
      )}
      {accepted && accept === 'valid' && (
        <Note>
          Accepted by {nameOf(accepted.by)} at {timeText(accepted.at)}. Any change after that needs another
          accept.
        </Note>
      )}
      {sent?.v && (
        <Note tone="hot">
          Sent back by {nameOf(sent.by)} at {timeText(sent.at)}: “{sent.v}”
        </Note>
      )}
    </>
  )
}

/** On a phone the card is long: what is open below is one tap away. */
function Jumps({ carId, run }: { carId: string; run: RunInfo | undefined }) {
  const view = useBoard()
  const loose = cardRows(view, carId).filter(rowIsLoose).length
  const followUps = openFollowUps(view, carId).length
  const checks = run
    ? checklistsOf(view, run.runId, ['before-staging', 'inspection']).reduce((n, l) => n + l.open, 0)
    : 0
  const proposals = view.proposals.live.filter((p) => p.carId === carId && p.value && !p.outcome?.v).length
  const to = [
    { id: 'projections', label: 'What this does', count: null },
    { id: 'suggestions', label: 'Next change', count: null },
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
