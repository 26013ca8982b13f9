'use client'
import { useState } from 'react'
import { useParams } from 'next/navigation'
import { acceptState, cardGroups, factsOf, nextRunOf, rowIsLoose, type CardRow } from '@/lib/card'
import { useLooking, useOthersAt } from '../../../../sync'
import {
  Button,
  Countdown,
  Empty,
  FactStrip,
  LinkButton,
  Note,
  plusMinusText,
  Tick,
  Ticket,
  TicketHead,
  timeText,
  ValueHead,
} from '../../../../ui'
import { useRaceDay, type RaceDay } from '../../use-race-day'
import { CardChecklists } from './card-checklists'
import { CardFollowUps } from './card-follow-ups'
import { CardNotes } from './card-notes'
import { CardProposals } from './card-proposals'
import { CardValue } from './card-value'
import { Comparison } from './comparison'
import { DriveProjections } from './drive-projections'
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
          <p>It was removed, or the link is of another team.</p>
        </Empty>
      </div>
    )
  return <Card key={carId} day={day} carId={carId} />
}

function Card({ day, carId }: { day: RaceDay; carId: string }) {
  const [onlyLoose, setOnlyLoose] = useState(false)
  const [comparing, setComparing] = useState(false)
  useLooking({ carId })
  const others = useOthersAt(carId)
  const car = day.view.cars.get(carId)
  const run = nextRunOf(day.runs, carId)
  const groups = cardGroups(day.view, carId)
  const shown = (rows: readonly CardRow[]) =>
    rows.filter((r) => (onlyLoose ? rowIsLoose(r) || r.cannot : r.state !== 'empty'))
  const accept = run ? acceptState(day.view, run) : 'none'
  const accepted = run?.run?.accepted
  const spread = plusMinusText(run?.plusMinusS ?? 0)
  return (
    <div className="page">
      <div className="split">
        <div className="grid gap-4 min-w-0">
          <Ticket as="article" label={`Setup card of ${car?.name ?? 'the car'}`}>
            <TicketHead
              level={1}
              title={car?.name ?? 'Car'}
              sub={[
                day.nameOf(car?.driverId),
                run?.raceClass?.name,
                car?.carNumber ? `car ${car.carNumber}` : null,
              ]
                .filter(Boolean)
                .join(', ')}
              stub={
                run?.callAt ? (
                  <>
                    <Countdown
                      to={run.callAt}
                      what={`to the call of heat ${run.heat.number ?? ''}`}
                      tenths={false}
                    />
                    <small>
                      to staging, heat {run.heat.number} {spread}
                    </small>
                  </>
                ) : (
                  <small>no run to come</small>
                )
              }
            />
            {run && <FactStrip facts={factsOf(day.view, run)} />}
            {accepted && accept === 'void' && (
              <Note tone="hot">
                {day.nameOf(accepted.by)}’s accept of {timeText(accepted.at)} is void: something it covers
                changed since.
              </Note>
            )}
            {run?.run?.sentBack?.v && (
              <Note tone="hot">
                Sent back by {day.nameOf(run.run.sentBack.by)}: “{run.run.sentBack.v}”
              </Note>
            )}
            {others.length > 0 && (
              <p className="ticket-body small">
                Also looking at this card: {others.map((o) => o.name).join(', ')}
              </p>
            )}
            <div className="px-4 no-print">
              <Tick isSelected={onlyLoose} onChange={setOnlyLoose}>
                Only what is loose
              </Tick>
            </div>
            {groups.map((g) => {
              const rows = shown(g.rows)
              const empty = g.rows.filter((r) => r.state === 'empty')
              if (rows.length === 0 && (onlyLoose || empty.length === 0)) return null
              return (
                <section key={g.id} aria-label={g.name}>
                  <ValueHead title={g.name} />
                  {rows.map((row) => (
                    <CardValue key={row.parameter.id} day={day} carId={carId} row={row} />
                  ))}
                  {!onlyLoose && empty.length > 0 && <MoreValues day={day} carId={carId} rows={empty} />}
                </section>
              )
            })}
            {onlyLoose && groups.every((g) => shown(g.rows).length === 0) && (
              <p className="ticket-body">
                Nothing is loose on this card: every assigned value is in the car and read back.
              </p>
            )}
          </Ticket>
        </div>
        <div className="grid gap-4 min-w-0">
          <DriveProjections day={day} carId={carId} run={run} />
          <CardFollowUps day={day} carId={carId} />
          <CardProposals day={day} carId={carId} />
          {run && <CardChecklists day={day} run={run} />}
          <CardNotes day={day} carId={carId} />
          <div className="btn-row no-print">
            <Button onPress={() => setComparing(true)}>Compare with a run or another card</Button>
            {run && (
              <LinkButton href={`/board/${day.meetingId}/staging/${run.runId}`}>Staging view</LinkButton>
            )}
            <Button onPress={() => window.print()}>Print the card</Button>
          </div>
        </div>
      </div>
      {comparing && <Comparison day={day} carId={carId} onClose={() => setComparing(false)} />}
    </div>
  )
}

/** Values that this card does not use yet; hidden until somebody wants one. */
function MoreValues({ day, carId, rows }: { day: RaceDay; carId: string; rows: readonly CardRow[] }) {
  const [open, setOpen] = useState(false)
  return (
    <>
      <button
        type="button"
        className="btn btn-quiet no-print"
        aria-expanded={open}
        onClick={() => setOpen(!open)}
      >
        {open ? 'Hide unused values' : `${rows.length} unused ${rows.length === 1 ? 'value' : 'values'}`}
      </button>
      {open && rows.map((row) => <CardValue key={row.parameter.id} day={day} carId={carId} row={row} />)}
    </>
  )
}
