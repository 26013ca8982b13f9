'use client'
import { useState } from 'react'
import { PROJECTION_GROUPS, type CardGround, type Lack, type Projection } from '@/lib/card'
import { figureIn, speedsIn } from '@/lib/core/speed-unit'
import {
  Button,
  Link,
  Note,
  RefusalText,
  Ticket,
  TicketHead,
  TicketSection,
  Unit,
  useSpeedUnit,
} from '@/app/ui'
import type { LapState } from './lap-state'
import { ProjectionSheet } from './projection-sheet'
import './card-parts.css'
import { ThreadNote } from '@/app/threads/thread-note'

/** What stands in front; the rest is one tap away. Alarms always stand in front. */
const FRONT: readonly string[] = [
  'rollout',
  'finalDrive',
  'noLoadSpeed',
  'topSpeed',
  'turbo',
  'result',
  'lapsDone',
  'can',
  'endVoltage',
  'chargeLeft',
]

const LACK_HREF: Record<Lack['place'], (meetingId: string, carId: string) => string> = {
  card: (meetingId, carId) => `/board/${meetingId}/card/${carId}`,
  car: (_, carId) => `/kit/cars/${carId}`,
  motor: () => '/kit/motors',
  track: (meetingId) => `/board/${meetingId}/track`,
}

export interface ProjectionStripProps {
  meetingId: string
  ground: CardGround
  lap: LapState
  title?: string
  /** What it is projected from, in words: the card’s own values, unless it heads a trial. */
  from?: string
  /** The whole ground is of an earlier state: what stands now can't be projected. */
  isStale?: boolean
}

/** What a card does, before the car runs: the arithmetic at once, the simulator's part when it is done, each with its ±. */
export function ProjectionStrip({
  meetingId,
  ground,
  lap,
  title = 'What this does',
  from = 'what is assigned',
  isStale: allStale = false,
}: ProjectionStripProps) {
  const [all, setAll] = useState(false)
  const [shown, setShown] = useState<string | null>(null)
  const { basis, quick } = ground
  const lapFigures = lap.projections?.figures ?? []
  const figures = [...quick.figures, ...lapFigures]
  const speeds = useSpeedUnit()
  const isStale = (p: Projection) => allStale || (lap.stale && lapFigures.includes(p))
  const front = FRONT.map((id) => figures.find((p) => p.id === id)).filter((p) => p !== undefined)
  const alarms = figures.filter((p) => p.alarm && !front.includes(p))
  const shownFigure = figures.find((p) => p.id === shown)
  const open = shownFigure && figureIn(shownFigure, speeds)
  const lacks: Lack[] = basis.segments
    ? basis.lacks
    : [...basis.lacks, { what: 'the track, drawn once', place: 'track' }]
  return (
    <Ticket id="projections" label={title}>
      <TicketHead
        title={title}
        sub={
          lap.problem !== null
            ? lap.retry
              ? 'no lap projected'
              : 'this card’s lap can’t be projected'
            : lap.stale
              ? 'working on the latest change'
              : lap.roughly
                ? 'working out the ±'
                : `projected from ${from}, not measured`
        }
      />
      {quick.problem && (
        <Note tone="hot">
          <RefusalText refusal={quick.problem} />
        </Note>
      )}
      {lap.problem !== null && (
        <ThreadNote
          why={`${lap.problem} ${lap.projections ? 'The lap figures below are from the last state that could be projected.' : ''}`}
          retry={lap.retry}
        />
      )}
      {lacks.length > 0 && (
        <Note>
          For speed, lap, pack and temperature it needs{' '}
          {lacks.map((l, i) => (
            <span key={l.what}>
              {i > 0 && ', '}
              <Link href={LACK_HREF[l.place](meetingId, basis.carId)}>{l.what}</Link>
            </span>
          ))}
          .
        </Note>
      )}
      <ul className="figures" aria-label="Projections">
        {[...alarms, ...front].map((p) => (
          <FigureButton key={p.id} projection={p} isStale={isStale(p)} onOpen={setShown} />
        ))}
      </ul>
      {all &&
        PROJECTION_GROUPS.map((g) => {
          const own = figures.filter((p) => p.group === g.id)
          return own.length === 0 ? null : (
            <section key={g.id} aria-label={g.name}>
              <TicketSection title={g.name} />
              <ul className="ruled">
                {own.map((p) => (
                  <li key={p.id}>
                    <button
                      type="button"
                      className="projection-line"
                      aria-haspopup="dialog"
                      data-alarm={p.alarm ? '' : undefined}
                      data-stale={isStale(p) ? '' : undefined}
                      onClick={() => setShown(p.id)}
                    >
                      <span>{p.label}</span>
                      <Value projection={p} />
                      {p.detail && <span className="small">{speedsIn(p.detail, speeds)}</span>}
                    </button>
                  </li>
                ))}
              </ul>
            </section>
          )
        })}
      <div className="ticket-body no-print">
        <Button look="quiet" aria-expanded={all} onPress={() => setAll(!all)}>
          {all ? 'Only the main figures' : `All ${figures.length} figures, in words`}
        </Button>
      </div>
      {open && (
        <ProjectionSheet
          meetingId={meetingId}
          carId={basis.carId}
          projection={open}
          inputs={basis.inputs}
          isStale={isStale(shownFigure)}
          onClose={() => setShown(null)}
        />
      )}
    </Ticket>
  )
}

function FigureButton({
  projection: p,
  isStale,
  onOpen,
}: {
  projection: Projection
  isStale: boolean
  onOpen: (id: string) => void
}) {
  return (
    <li data-projection={p.id} data-alarm={p.alarm ? '' : undefined} data-stale={isStale ? '' : undefined}>
      <button type="button" className="figure-button" aria-haspopup="dialog" onClick={() => onOpen(p.id)}>
        <span className="figure-label">{p.label}</span>
        <Value projection={p} />
        {isStale && <span className="small">from before the change</span>}
      </button>
    </li>
  )
}

function Value({ projection }: { projection: Projection }) {
  const p = figureIn(projection, useSpeedUnit())
  return (
    <span className="figure-value num">
      {p.text}
      {p.plusMinusText && <span className="spread"> ±{p.plusMinusText}</span>}
      <Unit of={p.unit} />
    </span>
  )
}
