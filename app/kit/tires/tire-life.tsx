'use client'
import { useMemo } from 'react'
import { figureText } from '@/lib/core/figure-text'
import { finalDrive, rollout } from '@/lib/setup-math'
import { tireLife, type TireLife as Life } from '@/lib/season'
import type { BoardView } from '@/lib/board'
import { useBoard } from '@/app/sync'
import { durationText, Figure, Figures, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import { SeasonStateNote } from '@/app/season/season-state-note'
import { useSeasonLook } from '@/app/season/use-season-look'
import { LifePlot } from '../life-plot'
import { trendWords } from '../life-words'
import { TireRuns } from './tire-runs'
import '../life.css'

/** What a tire set's runs did to it: how far it wore, and what that does to the gearing. */
export function TireLife({ tireSetId }: { tireSetId: string }) {
  const view = useBoard()
  const looked = useSeasonLook({ kind: 'tires', tireSetId })
  const { runs } = looked
  const set = view.tireSets.get(tireSetId)
  const life = useMemo(() => set && tireLife(set, runs), [set, runs])
  if (!set || !life) return null
  const { points, wear } = life
  return (
    <Ticket id="life">
      <TicketHead title={`Life of ${nameOf(set)}`} sub="Runs, wear, and the rollout that follows" />
      <Figures label={`Life of ${nameOf(set)}`}>
        <Figure label="Runs on record" value={String(life.runs.length)}>
          <span className="small block">
            {life.seconds > 0 ? `${durationText(life.seconds * 1000)} by their results` : 'no results yet'}
          </span>
        </Figure>
        <Figure
          label="One turn of the wheel"
          value={life.circumferenceMm === null ? null : figureText(life.circumferenceMm, { digits: 1 })}
          unit="mm"
          missing="measure the diameter"
        />
        <Figure
          label="Rollout lost to wear"
          value={life.shorterPercent === null ? null : figureText(life.shorterPercent, { digits: 1 })}
          unit="%"
          missing="measure the diameter after a run"
        >
          {life.shorterPercent !== null && (
            <span className="small block">since its first measured diameter, with any gearing</span>
          )}
        </Figure>
      </Figures>
      {points.length > 0 && (
        <LifePlot
          title="Diameter over runs"
          unit="mm"
          digits={1}
          points={points.map((p) => ({ x: p.runs, y: p.diameterMm }))}
          trend={wear}
          limit={null}
          ends={[`run ${points[0]?.runs ?? 1}`, `run ${points.at(-1)?.runs ?? 1}`]}
          table={{
            columns: ['After run', 'Diameter, mm'],
            rows: points.map((p) => [p.runs, figureText(p.diameterMm, { digits: 1 })]),
          }}
        >
          <p>{trendWords(wear, points.length, { unit: 'mm', digits: 1 }, { word: 'a run', x: 1 })}</p>
        </LifePlot>
      )}
      <TicketBody>
        {points.length === 0 && <p>No diameters after runs yet. Enter them on the debrief, under Tires.</p>}
        {rolloutLine(view, life)}
        <TireRuns
          set={set}
          life={life}
          isWhole={looked.isRead && looked.away.length === 0 && looked.trouble === null}
        />
        <SeasonStateNote looked={looked} />
      </TicketBody>
    </Ticket>
  )
}

/** With the gearing of its last run that had one. */
function rolloutLine(view: BoardView, { runs, diameterMm }: Life) {
  const last = runs.findLast(
    (r) => typeof r.values['pinion'] === 'number' && typeof r.values['spur'] === 'number',
  )
  const car = view.cars.get(last?.carId)
  const [pinion, spur] = [Number(last?.values['pinion']), Number(last?.values['spur'])]
  if (!last || !car?.internalRatio || diameterMm === null) return null
  const ratio = finalDrive({ pinion, spur, internalRatio: car.internalRatio })
  return (
    <p>
      On {nameOf(car)} with pinion {pinion} and spur {spur}: a rollout of{' '}
      {figureText(rollout({ tireDiameterMm: diameterMm, finalDrive: ratio }), { digits: 2, unit: 'mm' })} per
      motor turn at {figureText(diameterMm, { unit: 'mm' })}.
    </p>
  )
}
