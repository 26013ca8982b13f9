'use client'
import { useMemo, type KeyboardEvent, type PointerEvent } from 'react'
import { traceAt, type LapTrace, type TraceColumn } from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'
import { inSpeedUnit, speedDigits, type SpeedUnit } from '@/lib/core/speed-unit'
import { useSpeedUnit } from '@/app/ui'
import { PlotFrame } from '@/app/ui/plot-frame'
import { LinePlot, type PlotLine } from '@/app/ui/line-plot'
import { plotSpan } from '@/app/ui/plot-axes'
import { useRoom } from '@/app/ui/use-room'
import './track-picture.css'

interface TraceKind {
  column: TraceColumn
  title: string
  short: string
  unit: string
  digits: number
  what: string
}
const KINDS: readonly TraceKind[] = [
  { column: 'speedMps', title: 'Speed', short: 'speed', unit: 'm/s', digits: 2, what: 'fastest' },
  {
    column: 'motorCurrentA',
    title: 'Motor current',
    short: 'current',
    unit: 'A',
    digits: 0,
    what: 'highest',
  },
  { column: 'packVoltageV', title: 'Pack voltage', short: 'voltage', unit: 'V', digits: 2, what: 'lowest' },
  {
    column: 'timingDeg',
    title: 'Timing added by boost and turbo',
    short: 'timing',
    unit: '°',
    digits: 1,
    what: 'most',
  },
]
/** m: one press of an arrow key. */
const STEP_M = 0.5
const HEIGHT_EM = 13

export interface LapTracesProps {
  today: LapTrace
  trial: LapTrace
  /** m; null: nobody points anywhere. */
  cursorM: number | null
  onCursor: (atM: number | null) => void
}

/** Speed, current, voltage and timing over the lap, one below the other, with one place on all of them. */
export function LapTraces({ today, trial, cursorM, onCursor }: LapTracesProps) {
  const [frame, room] = useRoom<HTMLDivElement>()
  const speeds = useSpeedUnit()
  const kinds = useMemo(() => KINDS.map((k) => inOwnUnit(k, speeds)), [speeds])
  const lengthM = trial.distanceM.at(-1) ?? 0
  const marks = trial.marks
  const move = (toM: number) => onCursor(Math.min(lengthM, Math.max(0, toM)))
  const point = (e: PointerEvent<HTMLElement>) => {
    const { left, span } = plotSpan(room)
    if (span === 0) return
    move(((e.clientX - e.currentTarget.getBoundingClientRect().left - left) / span) * lengthM)
  }
  const press = (e: KeyboardEvent) => {
    const at = cursorM ?? 0
    const to: Record<string, number | undefined> = {
      ArrowRight: at + STEP_M,
      ArrowUp: at + STEP_M,
      ArrowLeft: at - STEP_M,
      ArrowDown: at - STEP_M,
      PageUp: marks.find((m) => m.atM > at + 1e-6)?.atM ?? lengthM,
      PageDown: marks.findLast((m) => m.atM < at - 1e-6)?.atM ?? 0,
      Home: 0,
      End: lengthM,
    }
    if (e.key === 'Escape') return onCursor(null)
    const next = to[e.key]
    if (next === undefined) return
    e.preventDefault()
    move(next)
  }
  const said = cursorM === null ? null : placeText(kinds, { today, trial, atM: cursorM })
  return (
    <div className="grid gap-3 min-w-0">
      <div className="lap-cursor-line small" data-cursor>
        {said ?? 'Touch the curves, or use the arrow keys on them, to read one place on all four.'}
      </div>
      <div
        ref={frame}
        className="lap-traces"
        role="slider"
        tabIndex={0}
        aria-label="Place on the lap"
        aria-orientation="horizontal"
        aria-valuemin={0}
        aria-valuemax={Math.round(lengthM * 10) / 10}
        aria-valuenow={Math.round((cursorM ?? 0) * 10) / 10}
        aria-valuetext={said ?? 'no place chosen'}
        onKeyDown={press}
        onPointerDown={point}
        onPointerMove={(e) => (e.pointerType === 'mouse' || e.buttons > 0) && point(e)}
      >
        {kinds.map((k) => (
          <div key={k.column} className="min-w-0">
            <p className="font-semibold">{k.title}</p>
            <p className="small">{extremes(k, today, trial)}</p>
            <LinePlot
              room={room}
              height={HEIGHT_EM * room.em}
              x={{ from: 0, to: lengthM, title: 'distance, m' }}
              y={{ ...spanOf(k, today, trial), title: k.unit }}
              lines={[lineOf(k, today, 'then'), lineOf(k, trial, 'now')]}
              shades={marks
                .filter((m) => m.kind === 'corner')
                .map((m) => ({ from: m.atM, to: m.atM + m.lengthM, name: m.name }))}
              cursor={cursorM}
            />
          </div>
        ))}
      </div>
      <TraceTable kinds={kinds} today={today} trial={trial} />
    </div>
  )
}

type OwnKind = TraceKind & { of: (value: number) => number }
const inOwnUnit = (k: TraceKind, speeds: SpeedUnit): OwnKind =>
  k.unit === 'm/s'
    ? { ...k, unit: speeds, digits: speedDigits(k.digits, speeds), of: (v) => inSpeedUnit(v, speeds) }
    : { ...k, of: (v) => v }

const lineOf = (k: OwnKind, t: LapTrace, look: PlotLine['look']): PlotLine => ({
  look,
  points: t.distanceM.map((d, i) => [d, k.of(t[k.column][i] ?? 0)]),
})

function spanOf(k: OwnKind, today: LapTrace, trial: LapTrace) {
  const values = [...today[k.column], ...trial[k.column]].map(k.of)
  const [lo, hi] = [Math.min(...values), Math.max(...values)]
  const room = (hi - lo || 1) * 0.08
  return k.column === 'packVoltageV'
    ? { from: lo - room, to: hi + room }
    : { from: Math.min(0, lo), to: hi + room }
}

const extreme = (k: OwnKind, t: LapTrace) =>
  k.of(k.column === 'packVoltageV' ? Math.min(...t[k.column]) : Math.max(...t[k.column]))

function extremes(k: OwnKind, today: LapTrace, trial: LapTrace): string {
  const text = (v: number) => figureText(v, { digits: k.digits, unit: k.unit })
  const what = `${k.what[0]?.toUpperCase() ?? ''}${k.what.slice(1)}`
  return `${what} ${text(extreme(k, trial))} with the trial, ${text(extreme(k, today))} today. Shaded: corners.`
}

function placeText(
  kinds: readonly OwnKind[],
  { today, trial, atM }: { today: LapTrace; trial: LapTrace; atM: number },
): string {
  const piece = trial.marks.findLast((m) => m.atM <= atM + 1e-9)
  const values = kinds.map((k) => {
    const show = (t: LapTrace) => figureText(k.of(traceAt(t, k.column, atM)), { digits: k.digits })
    return `${k.short} ${figureText(k.of(traceAt(trial, k.column, atM)), { digits: k.digits, unit: k.unit })} (today ${show(today)})`
  })
  return `${figureText(atM, { digits: 1, unit: 'm' })}${piece ? `, ${piece.name}` : ''}: ${values.join(', ')}`
}

/** At each piece's entry and middle. */
function TraceTable({
  kinds,
  today,
  trial,
}: {
  kinds: readonly OwnKind[]
  today: LapTrace
  trial: LapTrace
}) {
  const rows = useMemo(
    () =>
      trial.marks
        .flatMap((m) => [
          { name: `${m.name}, entry`, atM: m.atM },
          { name: `${m.name}, middle`, atM: m.atM + m.lengthM / 2 },
        ])
        .map((s) => [
          s.name,
          Number(s.atM.toFixed(1)),
          ...kinds.flatMap((k) =>
            [today, trial].map((t) => Number(k.of(traceAt(t, k.column, s.atM)).toFixed(k.digits))),
          ),
        ]),
    [kinds, today, trial],
  )
  return (
    <PlotFrame
      title="The same as a table"
      summary="At every piece’s entry and middle."
      table={{
        columns: [
          'Where',
          'm',
          ...kinds.flatMap((k) => [`Today, ${k.short} ${k.unit}`, `Trial, ${k.short} ${k.unit}`]),
        ],
        rows,
      }}
    />
  )
}
