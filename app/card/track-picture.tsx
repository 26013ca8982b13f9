'use client'
import { useMemo, useState } from 'react'
import {
  gainBands,
  lapBands,
  lapPath,
  lapPieces,
  type BandRange,
  type GripState,
  type LapBands,
  type LapLayer,
  type LapTrace,
  type PieceFigures,
} from '@/lib/card'
import type { TrackSegment } from '@/lib/board'
import { figureText } from '@/lib/core/figure-text'
import { inSpeedUnit, speedDigits, type SpeedUnit } from '@/lib/core/speed-unit'
import { ChoiceField, useSpeedUnit } from '@/app/ui'
import { PlotFrame, type PlotTable } from '@/app/ui/plot-frame'
import { useRoom, type Room } from '@/app/ui/use-room'
import { Diamond, HATCHES, LapMap, Said } from './lap-map'
import './track-picture.css'

export interface TrackSide {
  /** `today`, `the trial`, `as it ran`; left out where there is one. */
  name?: string
  trace: LapTrace
}

export interface TrackPictureProps {
  segments: readonly TrackSegment[]
  /** One lap, or today's and the trial's. */
  sides: readonly [TrackSide] | readonly [TrackSide, TrackSide]
  size: 'small' | 'large'
  cursorM?: number | null
  /** What was said of a piece, by its number in driving order. */
  said?: ReadonlyMap<number, string> | undefined
}

/** px: no taller than this. */
const MOST = { small: 300, large: 520 } as const
const NOTHING: ReadonlyMap<number, string> = new Map()

const LAYERS: Readonly<Record<LapLayer, string>> = {
  speed: 'Speed',
  timing: 'Timing',
  grip: 'Grip',
  gain: 'Gained',
}
const GRIP_WORDS: Readonly<Record<GripState, string>> = {
  spare: 'grip to spare',
  current: 'held by the current limit',
  braking: 'braking',
  limit: 'at the tires’ limit',
}

/** The drawn track in bands of projected speed, timing or grip, today beside the trial where there are two. */
export function TrackPicture({ segments, sides, size, cursorM = null, said = NOTHING }: TrackPictureProps) {
  const [layer, setLayer] = useState<LapLayer>('speed')
  const [frame, room] = useRoom<HTMLDivElement>()
  const unit = useSpeedUnit()
  const [first, second] = sides
  const path = useMemo(() => lapPath(segments, first.trace.marks), [segments, first])
  const shown = layer === 'gain' && !second ? 'speed' : layer
  const bands = useMemo(
    () =>
      shown === 'gain' && second
        ? gainBands(first.trace, second.trace)
        : lapBands(
            sides.map((s) => s.trace),
            shown === 'gain' ? 'speed' : shown,
          ),
    [sides, first, second, shown],
  )
  const pieces = useMemo(() => sides.map((s) => lapPieces(s.trace)), [sides])
  if (!path)
    return <p className="small">This track has corners without radius or arc, so it can’t be drawn.</p>
  const maps = shown === 'gain' ? [first] : sides
  const isBeside = maps.length === 2 && room.width >= 48 * room.em
  const each: Room = { ...room, width: isBeside ? (room.width - room.em) / 2 : room.width }
  return (
    <PlotFrame
      title="The lap on the track"
      summary={summaryOf(shown, pieces, sides, unit)}
      table={tableOf(pieces, sides, unit, said)}
    >
      <ChoiceField
        label="Colored by"
        value={shown}
        onChange={(id) => setLayer(id as LapLayer)}
        options={(Object.keys(LAYERS) as LapLayer[])
          .filter((id) => id !== 'gain' || second)
          .map((id) => ({ id, label: LAYERS[id] }))}
      />
      <div ref={frame} className={isBeside ? 'lap-maps lap-maps-beside' : 'lap-maps'}>
        {maps.map((s, i) => (
          <div key={s.name ?? i} className="min-w-0">
            {maps.length > 1 && <p className="lap-side">{s.name}</p>}
            <LapMap
              path={path}
              marks={s.trace.marks}
              stretches={bands.stretches[i] ?? []}
              room={each}
              most={MOST[size]}
              said={said}
              cursorM={cursorM}
            />
          </div>
        ))}
      </div>
      <Legend bands={bands} layer={shown} unit={unit} room={room} sides={maps} hasSaid={said.size > 0} />
    </PlotFrame>
  )
}

function Legend({
  bands,
  layer,
  unit,
  room: { em },
  sides,
  hasSaid,
}: {
  bands: LapBands
  layer: LapLayer
  unit: SpeedUnit
  room: Room
  sides: readonly TrackSide[]
  hasSaid: boolean
}) {
  const marks = sides.flatMap((s) => s.trace.marks)
  return (
    <ul className="lap-legend" aria-hidden="true">
      {bands.bands.map((b, i) => {
        const hatch = HATCHES[i]
        return (
          b && (
            <li key={i}>
              <svg className="plot" width={3 * em} height={em} data-band={i}>
                <path className="lap-band" d={`M0 ${em / 2}H${3 * em}`} strokeWidth={0.85 * em} />
                {hatch && (
                  <path
                    className="plot-hatch"
                    d={`M0 ${em / 2}H${3 * em}`}
                    strokeWidth={0.85 * em}
                    strokeDasharray={hatch}
                  />
                )}
              </svg>
              {bandText(b, layer, unit)}
            </li>
          )
        )
      })}
      {marks.some((m) => m.brakeAtM !== null) && (
        <li>
          <svg className="plot" width={1.4 * em} height={1.4 * em}>
            <path className="lap-brake" d={`M${0.7 * em} 0V${1.4 * em}`} />
          </svg>
          braking begins
        </li>
      )}
      {marks.some((m) => m.turboAtM !== null) && (
        <li>
          <svg className="plot" width={1.4 * em} height={1.4 * em}>
            <Diamond at={{ x: 0.7 * em, y: 0.7 * em }} size={0.55 * em} />
          </svg>
          turbo fires
        </li>
      )}
      {hasSaid && (
        <li>
          <svg className="plot" width={1.4 * em} height={1.4 * em}>
            <Said at={{ x: 0.7 * em, y: 0.7 * em }} size={0.5 * em} />
          </svg>
          the driver felt something
        </li>
      )}
    </ul>
  )
}

function bandText(b: BandRange, layer: LapLayer, unit: SpeedUnit): string {
  if ('state' in b) return GRIP_WORDS[b.state]
  if (layer === 'timing') {
    if (b.to <= 0) return 'none added'
    return `${degrees(b.from)} to ${degrees(b.to)}`
  }
  const [from, to] = [speed(b.from, unit), speed(b.to, unit)]
  if (layer !== 'gain') return `${from} to ${to} ${unit}`
  if (b.from < 0 && b.to > 0) return `within ${to} ${unit}`
  return b.from >= 0
    ? `faster by ${from} to ${to} ${unit}`
    : `slower by ${speed(-b.to, unit)} to ${speed(-b.from, unit)} ${unit}`
}

const degrees = (deg: number) => figureText(deg, { digits: 0, unit: '°' })
const speed = (mps: number, unit: SpeedUnit, digits = 1) =>
  figureText(inSpeedUnit(mps, unit), { digits: speedDigits(digits, unit) })

function summaryOf(
  layer: LapLayer,
  pieces: readonly PieceFigures[][],
  sides: TrackPictureProps['sides'],
  unit: SpeedUnit,
): string {
  const told = sides.map((s, i) =>
    capital(`${s.name ? `${s.name}: ` : ''}${sentence(layer, pieces[i] ?? [], unit)}`),
  )
  const [first, second] = sides
  if (layer !== 'gain' || !second) return told.join(' ')
  const by = first.trace.lapS - second.trace.lapS
  const size = figureText(Math.abs(by), { digits: 2, unit: 's' })
  return `${by >= 0 ? `The trial’s lap is ${size} quicker.` : `The trial’s lap is ${size} slower.`} Along the lap: how much faster the trial is there.`
}

const capital = (text: string) => `${text[0]?.toUpperCase() ?? ''}${text.slice(1)}`

function sentence(layer: LapLayer, pieces: readonly PieceFigures[], unit: SpeedUnit): string {
  const most = (of: (p: PieceFigures) => number) =>
    pieces.reduce((a, b) => (of(b) > of(a) ? b : a), pieces[0] as PieceFigures)
  if (layer === 'timing') {
    const top = most((p) => p.timingDeg)
    return top.timingDeg > 0.05
      ? `up to ${degrees(top.timingDeg)} of timing added, on ${top.name}.`
      : 'boost and turbo add nothing on this lap.'
  }
  if (layer === 'grip') {
    const all = pieces.reduce((sum, p) => sum + p.lengthM, 0)
    const held = pieces.reduce((sum, p) => sum + p.limitShare * p.lengthM, 0)
    return `at the tires’ limit or braking for ${figureText((100 * held) / (all || 1), { digits: 0 })}% of the lap.`
  }
  const fast = most((p) => p.fastestMps)
  const slow = most((p) => -p.slowestMps)
  return `fastest ${speed(fast.fastestMps, unit, 2)} ${unit} on ${fast.name}, slowest ${speed(slow.slowestMps, unit, 2)} ${unit} on ${slow.name}.`
}

function tableOf(
  pieces: readonly PieceFigures[][],
  sides: TrackPictureProps['sides'],
  unit: SpeedUnit,
  said: ReadonlyMap<number, string>,
): PlotTable {
  const of = (s: TrackSide, what: string) => (s.name ? `${what}, ${s.name}` : what)
  return {
    columns: [
      'Piece',
      'Length, m',
      ...sides.flatMap((s) => [
        of(s, `Slowest, ${unit}`),
        of(s, `Fastest, ${unit}`),
        of(s, 'Timing added, °'),
        of(s, 'At the limit, %'),
        of(s, 'Brakes at, m'),
        of(s, 'Turbo fires at, m'),
      ]),
      ...(said.size > 0 ? ['The driver felt'] : []),
    ],
    rows: (pieces[0] ?? []).map((p, i) => [
      `${i + 1} ${p.name}`,
      round(p.lengthM, 1),
      ...sides.flatMap((_, k) => {
        const q = pieces[k]?.[i]
        return q
          ? [
              round(inSpeedUnit(q.slowestMps, unit), speedDigits(2, unit)),
              round(inSpeedUnit(q.fastestMps, unit), speedDigits(2, unit)),
              round(q.timingDeg, 1),
              round(100 * q.limitShare, 0),
              q.brakeAtM === null ? null : round(q.brakeAtM, 1),
              q.turboAtM === null ? null : round(q.turboAtM, 1),
            ]
          : []
      }),
      ...(said.size > 0 ? [said.get(i) ?? null] : []),
    ]),
  }
}
const round = (x: number, digits: number) => Number(x.toFixed(digits))
