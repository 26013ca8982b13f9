'use client'
import { useMemo, useState } from 'react'
import { setRemoved } from '@/lib/board'
import { figureText } from '@/lib/core/figure-text'
import {
  COMPARED_AT_C,
  daysSince,
  NEARLY_EMPTY,
  packLife,
  USUAL_LEAVE,
  type LifeFigure,
  type LifePoint,
  type LifeSeries,
} from '@/lib/season'
import { useAct, useBoard, useMay, useNow } from '@/app/sync'
import { Button, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import { SeasonStateNote } from '@/app/season/season-state-note'
import { useSeasonLook } from '@/app/season/use-season-look'
import { LifePlot } from '../life-plot'
import { leavingWords, lifeDayText, limitWords, MONTH, trendWords } from '../life-words'
import '../life.css'
import { PackReadingDialog } from './pack-reading-dialog'

const FACES: Readonly<Record<LifeFigure, { title: string; unit: string; digits: number; usual: string }>> = {
  resistance: {
    title: `Internal resistance at ${COMPARED_AT_C}°C`,
    unit: 'mΩ',
    digits: 1,
    usual: 'twice its first readings',
  },
  capacity: {
    title: 'Capacity',
    unit: 'mAh',
    digits: 0,
    usual: `${USUAL_LEAVE.capacityPercent}% of its label`,
  },
  load: { title: 'Voltage under load, per cell', unit: 'V', digits: 3, usual: '' },
  storage: { title: 'Resting voltage after storage, per cell', unit: 'V', digits: 3, usual: '' },
  cycles: { title: 'Cycles', unit: '', digits: 0, usual: '' },
}
const SHOWN: readonly LifeFigure[] = ['resistance', 'capacity', 'load', 'storage', 'cycles']

/** What was read off a pack and what its charges say, over time: where it goes, and when it leaves the races. */
export function PackLife({ packId }: { packId: string }) {
  const view = useBoard()
  const looked = useSeasonLook({ kind: 'pack', packId })
  const { runs } = looked
  const may = useMay('kit', 'packReadings', 'new', 'taken')
  const [adding, setAdding] = useState(false)
  const pack = view.packs.get(packId)
  const { packReadings } = view
  const life = useMemo(
    () =>
      pack &&
      packLife(
        pack,
        packReadings.live.flatMap(({ taken, ...r }) =>
          r.packId === packId && taken?.v ? [{ ...r, at: taken.v }] : [],
        ),
        runs,
      ),
    [pack, packId, packReadings, runs],
  )
  if (!pack || !life) return null
  const known = SHOWN.filter((id) => life[id].points.length > 0 || life[id].leftOut > 0)
  return (
    <Ticket id="life">
      <TicketHead title={`Life of ${nameOf(pack)}`} sub="Readings over time, and what charges say" />
      {known.length === 0 && (
        <TicketBody>
          <p>
            No readings yet. Read the internal resistance off your charger now and then, at about the same
            temperature: four readings show where it goes.
          </p>
        </TicketBody>
      )}
      {known.map((id) => (
        <SeriesPart key={id} id={id} series={life[id]} loadA={life.loadA} />
      ))}
      <TicketBody>
        <div className="btn-row">
          <Button look="do" isDisabled={!may} onPress={() => setAdding(true)}>
            Add a reading
          </Button>
        </div>
        {!may && <p className="small">A manager or a mechanic can add readings.</p>}
        <SeasonStateNote looked={looked} />
        <ReadingList packId={packId} />
      </TicketBody>
      <PackReadingDialog packId={packId} isOpen={adding} onOpenChange={setAdding} />
    </Ticket>
  )
}

function SeriesPart({ id, series, loadA }: { id: LifeFigure; series: LifeSeries; loadA: number | null }) {
  const face = FACES[id]
  const { points, trend, threshold, leaving } = series
  const now = useNow(3_600_000)
  const start = points[0]?.at ?? 0
  const title = id === 'load' && loadA !== null ? `${face.title}, at about ${loadA} A` : face.title
  return (
    <LifePlot
      title={title}
      unit={face.unit}
      digits={face.digits}
      points={points.map((p) => ({ x: daysSince(points, p.at), y: p.value, isHollow: p.from !== 'reading' }))}
      trend={trend}
      limit={threshold?.value ?? null}
      ends={[lifeDayText(start), lifeDayText(points.at(-1)?.at ?? start)]}
      table={{
        columns: ['Day', face.unit ? `${face.title}, ${face.unit}` : face.title, 'From'],
        rows: points.map((p) => [
          lifeDayText(p.at),
          figureText(p.value, { digits: face.digits }),
          fromWords(p),
        ]),
      }}
    >
      <p>
        {trendWords(trend, points.length, face, { word: 'a month', x: MONTH })}{' '}
        {points.length > 0 && threshold && limitWords(threshold, face, face.usual)}{' '}
        <b>{leaving && leavingWords(leaving, start, now, face)}</b>
      </p>
      <p>{basisWords(id, series)}</p>
    </LifePlot>
  )
}

function fromWords(p: LifePoint): string {
  if (p.days !== undefined) return `after ${p.days} ${p.days === 1 ? 'day' : 'days'}`
  return p.from === 'charge'
    ? 'a charge'
    : p.from === 'as-read'
      ? 'as read, temperature not known'
      : 'a reading'
}

/** What the points assume, and what was left out. */
function basisWords(id: LifeFigure, { points, leftOut }: LifeSeries): string {
  if (id === 'capacity')
    return [
      points.some((p) => p.from === 'charge') &&
        'Hollow: charges after a run, over the share that was missing. This assumes a rested pack, a full charge without loss, and the voltage curve of a common pouch cell.',
      leftOut > 0 &&
        `${leftOut} ${leftOut === 1 ? 'charge is' : 'charges are'} left out: not begun at ${NEARLY_EMPTY * 100}% or less, or without a resting voltage.`,
    ]
      .filter(Boolean)
      .join(' ')
  if (id === 'resistance')
    return points.some((p) => p.from === 'as-read')
      ? 'Hollow: read without a temperature, shown as read.'
      : ''
  if (id === 'load' && leftOut > 0) return `${leftOut} at other loads are left out.`
  return ''
}

function ReadingList({ packId }: { packId: string }) {
  const view = useBoard()
  const act = useAct()
  const own = view.packReadings.live
    .filter((r) => r.packId === packId && r.taken?.v)
    .sort((a, b) => (b.taken?.v ?? 0) - (a.taken?.v ?? 0))
  const may = useMay('kit', 'packReadings', own[0]?.id ?? 'new', 'removed')
  if (own.length === 0) return null
  return (
    <details className="life-readings no-print">
      <summary>
        {own.length} {own.length === 1 ? 'reading' : 'readings'}
      </summary>
      <ul className="kit-rows">
        {own.map((r) => (
          <li key={r.id} className="kit-row">
            <span className="kit-row-name">
              {lifeDayText(r.taken?.v ?? 0)}
              <small>
                {readingText(r)}, {view.people.get(r.taken?.by)?.name ?? 'somebody'}
              </small>
            </span>
            <Button
              isDisabled={!may}
              onPress={() =>
                act((ctx) => setRemoved(ctx, 'kit', 'packReadings', r.id, true), 'Reading removed')
              }
            >
              Remove
            </Button>
          </li>
        ))}
      </ul>
    </details>
  )
}

function readingText(r: {
  resistanceMilliohm?: number
  resistanceAtC?: number
  capacityMah?: number
  loadedVoltageV?: number
  loadA?: number
  restVoltageV?: number
  storedDays?: number
  cycles?: number
}): string {
  const part = (value: number | undefined, unit: string, more = '') =>
    value === undefined ? [] : [`${figureText(value, { unit })}${more}`]
  return [
    ...part(
      r.resistanceMilliohm,
      'mΩ',
      r.resistanceAtC === undefined ? '' : ` at ${figureText(r.resistanceAtC, { unit: '°C' })}`,
    ),
    ...part(r.capacityMah, 'mAh'),
    ...part(r.loadedVoltageV, 'V', r.loadA === undefined ? '' : ` at ${figureText(r.loadA, { unit: 'A' })}`),
    ...part(r.restVoltageV, 'V', r.storedDays === undefined ? '' : ` after ${r.storedDays} days`),
    ...part(r.cycles, 'cycles'),
  ].join(', ')
}
