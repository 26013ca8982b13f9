'use client'
import { MissingCar } from '@/app/meeting/missing-car'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { lazy, Suspense, useDeferredValue, useState } from 'react'
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
import { useWhatIfDesk } from '@/app/card/use-what-if-desk'
import { useLooking, useOthersAt, useBoard, useDerived, useNameOf } from '@/app/sync'
import {
  Button,
  Countdown,
  FactStrip,
  LinkButton,
  Note,
  plusMinusText,
  Ticket,
  TicketHead,
  timeText,
} from '@/app/ui'
import { CardChecklists } from './card-checklists'
import { CardFollowUps } from './card-follow-ups'
import { CardNotes } from './card-notes'
import { CardPaper } from './card-paper'
import { CardProjections, CardTrack } from './card-projections'
import { CardProposals } from './card-proposals'
import { CardValues } from './card-values'
import { useAnchor } from './use-anchor'
import { LatePart } from '@/app/ui/late-part'
import { loadAhead } from '@/app/ui/load-ahead'
import '../card.css'

const comparison = loadAhead(() => import('./compare/comparison').then((m) => ({ default: m.Comparison })))
const Comparison = lazy(comparison)

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
  const meetingId = useMeetingId()
  const [comparing, setComparing] = useState(false)
  useLooking({ carId })
  // What a mechanic opens the card for is drawn first; the column beside or below it, and the paper, right after it.
  const isWhole = useDeferredValue(true, false)
  useAnchor(isWhole)
  const others = useOthersAt(carId)
  const desk = useWhatIfDesk()
  const car = view.cars.get(carId)
  const run = nextRunOf(runs, carId)
  const last = runs.findLast((r) => r.carId === carId && (r.state === 'finished' || r.state === 'on-track'))
  return (
    <>
      <div className="page no-print">
        <div className="split card-split">
          <div className="grid grid-cols-1 gap-4 min-w-0 content-start">
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
          {isWhole && (
            <div className="grid grid-cols-1 gap-4 min-w-0 content-start">
              <CardProjections carId={carId} run={run} desk={desk} />
              <CardFollowUps carId={carId} />
              <CardProposals carId={carId} />
              <CardChecklists run={run} last={last} />
              <CardNotes carId={carId} />
              <div className="btn-row">
                <Button onPress={() => setComparing(true)}>Compare or copy a card</Button>
                <LinkButton href={`/board/${meetingId}/what-if/${carId}`}>What if</LinkButton>
                <LinkButton href={`/board/${meetingId}/learned/${carId}`}>What the runs taught</LinkButton>
                {last && (
                  <LinkButton href={`/board/${meetingId}/debrief/${last.runId}`}>
                    Debrief of {heatOfRun(last)}
                  </LinkButton>
                )}
                <LinkButton href={`/board/${meetingId}/story/${carId}`}>Its runs</LinkButton>
                <LinkButton href={`/board/${meetingId}/history?car=${carId}`}>
                  History of this card
                </LinkButton>
                {run && <LinkButton href={`/board/${meetingId}/staging/${run.runId}`}>Staging</LinkButton>}
                <Button onPress={() => window.print()}>Print</Button>
              </div>
              <CardTrack carId={carId} run={run} desk={desk} />
            </div>
          )}
        </div>
        {comparing && (
          <Suspense fallback={<LatePart part={comparison} onClose={() => setComparing(false)} />}>
            <Comparison carId={carId} onClose={() => setComparing(false)} />
          </Suspense>
        )}
      </div>
      {isWhole && <CardPaper carId={carId} run={run} />}
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
