'use client'
import { useParams } from 'next/navigation'
import { useEffect, useMemo, useRef, useSyncExternalStore } from 'react'
import { heatOfRun, nextRunOf, personName, runsNow, ticketNow, type RunInfo } from '@/lib/card'
import { compareNames } from '@/lib/core/compare-names'
import type { Board } from '@/lib/derived'
import type { OverviewNews } from '@/app/card/overview-messages'
import { useOverviewDesk } from '@/app/card/projection-context'
import { ThreadNote } from '@/app/threads/thread-note'
import { useClientBoard, useDerived } from '@/app/sync'
import { Empty, LinkButton } from '@/app/ui'
import { writeText } from '@/app/ui/write-text'
import { TicketFoot, TicketTop } from './card-ticket-parts'
import { TicketFigures } from './ticket-figures'
import './card.css'

const carsInKit = (board: Board) => board.cars.live

/** Every car of the kit as a short ticket, the next to be called first. */
export function CardListScreen() {
  const { meetingId } = useParams<{ meetingId: string }>()
  const live = useDerived(carsInKit)
  const runs = useDerived(runsNow)
  const cars = useMemo(
    () =>
      live
        .map((car) => ({ car, run: nextRunOf(runs, car.id) }))
        .sort(
          (a, b) =>
            (a.run?.callAt ?? Infinity) - (b.run?.callAt ?? Infinity) || compareNames(a.car.name, b.car.name),
        ),
    [live, runs],
  )
  useOverview(cars.map(({ car, run }) => ({ carId: car.id, runId: run?.runId ?? null })))
  if (cars.length === 0)
    return (
      <div className="page page-narrow">
        <h1>Cards</h1>
        <Empty
          title="No cars in the kit yet"
          acts={
            <LinkButton look="do" href="/kit/cars">
              Enter the first car
            </LinkButton>
          }
        >
          <p>Every car in the kit has a setup card: what is assigned, what is fitted, and what that does.</p>
        </Empty>
      </div>
    )
  return (
    <div className="page">
      <div className="card-list-head">
        <h1>Cards</h1>
        <WhatIsLeft />
      </div>
      <OverviewTrouble />
      <ul className="card-list">
        {cars.map(({ car, run }) => (
          <li key={car.id}>
            <CardTicketShort meetingId={meetingId} carId={car.id} run={run} />
          </li>
        ))}
      </ul>
    </div>
  )
}

/** Keep the overview's thread at work on these cars while the screen is open. */
function useOverview(cars: readonly { carId: string; runId: string | null }[]) {
  const desk = useOverviewDesk()
  const board = useClientBoard()
  useEffect(() => {
    const stop = desk.start(board)
    const drawAll = () => desk.drawAll()
    window.addEventListener('beforeprint', drawAll)
    return () => {
      stop()
      window.removeEventListener('beforeprint', drawAll)
    }
  }, [desk, board])
  const text = JSON.stringify(cars)
  useEffect(() => desk.setCars(JSON.parse(text) as typeof cars), [desk, text])
}

/** Says so when the figures can't be worked out at all. */
function OverviewTrouble() {
  const desk = useOverviewDesk()
  const why = useSyncExternalStore(desk.subscribeTrouble, desk.trouble, desk.trouble)
  return why === null ? null : <ThreadNote why={why} retry={desk.retry} />
}

/** Which figures are of before the latest change, in words. Written past React, like the figures. */
function WhatIsLeft() {
  const desk = useOverviewDesk()
  const line = useRef<HTMLSpanElement>(null)
  useEffect(() => desk.watchLeft((left) => line.current && writeText(line.current, leftText(left))), [desk])
  return (
    <p className="small card-left">
      <span ref={line} />
    </p>
  )
}

const leftText = ({ figures, spreads }: OverviewNews['left']): string =>
  figures > 0
    ? `Updating ${cardCount(figures)} (dotted)`
    : spreads > 0
      ? `Working out the ± of ${cardCount(spreads)}`
      : ''
const cardCount = (n: number): string => (n === 1 ? '1 card' : `${n} cards`)

function CardTicketShort({
  meetingId,
  carId,
  run,
}: {
  meetingId: string
  carId: string
  run: RunInfo | undefined
}) {
  const ticket = useDerived(ticketNow, carId)
  const driver = useDerived(personName, ticket.driverId ?? '')
  return (
    <article className="ticket" aria-label={ticket.name}>
      <TicketTop
        meetingId={meetingId}
        ticket={ticket}
        driver={driver}
        callAt={run?.callAt ?? null}
        heat={run ? heatOfRun(run) : ''}
        plusMinusS={run?.plusMinusS ?? 0}
      />
      <TicketFigures carId={carId} name={ticket.name} />
      <TicketFoot ticket={ticket} />
    </article>
  )
}
