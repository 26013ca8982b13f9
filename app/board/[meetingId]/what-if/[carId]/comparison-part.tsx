'use client'
import { useCallback, useMemo } from 'react'
import type * as Plot from '@observablehq/plot'
import { inputLabel, type Comparison, type LapTrace, type ProjectionInput } from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'
import { inSpeedUnit, speedDigits, type SpeedUnit } from '@/lib/core/speed-unit'
import { Chart, Note, RefusalText, Ticket, TicketBody, TicketHead, useSpeedUnit } from '@/app/ui'
import { EnergyBar } from '@/app/card/energy-bar'
import type { WhatIfState } from '@/app/card/what-if-desk'
import { ThreadNote } from '@/app/threads/thread-note'

const fixed = (x: number, digits: number) => figureText(x, { digits })
const signed = (x: number, digits: number) => (x > 0 ? '+' : x < 0 ? '−' : '±') + fixed(Math.abs(x), digits)

type Difference = Comparison['differences'][number]
const inOwnUnit = (d: Difference, unit: SpeedUnit): Difference =>
  d.unit !== 'm/s'
    ? d
    : {
        ...d,
        unit,
        digits: speedDigits(d.digits, unit),
        today: inSpeedUnit(d.today, unit),
        trial: inSpeedUnit(d.trial, unit),
        plusMinus: inSpeedUnit(d.plusMinus, unit),
      }

/** Today and the trial in figures; the ± is that of the difference, in which what both share cancels. */
export function DifferenceTable({
  state,
  inputs,
  stale,
}: {
  state: WhatIfState<'compare'>
  /** Of the trial, for the names of the inputs. */
  inputs: readonly ProjectionInput[]
  stale: boolean
}) {
  const c = state.answer
  const speeds = useSpeedUnit()
  const differences = (c?.differences ?? []).map((d) => inOwnUnit(d, speeds))
  return (
    <Ticket label="Differences">
      <TicketHead
        title="Today and the trial"
        sub={
          stale
            ? 'from the last trial that could be projected'
            : state.stale
              ? 'working on the latest change'
              : 'projected, not measured'
        }
      />
      {state.failed && <ThreadNote why={state.failed} retry={state.retry} />}
      {c?.problem && (
        <Note tone="hot">
          {typeof c.problem === 'string' ? c.problem : <RefusalText refusal={c.problem} />}
        </Note>
      )}
      {!c && !state.failed && <p className="ticket-body">Simulating both laps …</p>}
      {differences.length > 0 && (
        <div className="table-scroll" tabIndex={0} role="region" aria-label="Today and the trial">
          <table className="data-table what-if-table" data-stale={stale || state.stale ? '' : undefined}>
            <thead>
              <tr>
                <th scope="col">Figure</th>
                <th scope="col" className="is-number">
                  Today
                </th>
                <th scope="col" className="is-number">
                  Trial
                </th>
                <th scope="col" className="is-number">
                  Difference
                </th>
                <th scope="col">Most of the ± comes from</th>
              </tr>
            </thead>
            <tbody>
              {differences.map((d) => {
                const by = d.trial - d.today
                const sure = Math.abs(by) > d.plusMinus && by !== 0
                return (
                  <tr key={d.key} data-difference={d.key}>
                    <th scope="row">
                      {d.label}
                      {d.unit && <span className="small">, {d.unit}</span>}
                    </th>
                    <td className="is-number">{fixed(d.today, d.digits)}</td>
                    <td className="is-number">{fixed(d.trial, d.digits)}</td>
                    <td className="is-number">
                      {by === 0 ? (
                        'same'
                      ) : (
                        <>
                          {sure ? <b>{signed(by, d.digits)}</b> : signed(by, d.digits)}
                          {d.plusMinus > 0 && (
                            <span className="spread"> ±{fixed(d.plusMinus, d.digits)}</span>
                          )}
                          {!sure && d.plusMinus > 0 && <span className="small"> too close to call</span>}
                        </>
                      )}
                    </td>
                    <td className="small">
                      {by !== 0 &&
                        d.rests
                          .slice(0, 2)
                          .map((r) => inputLabel(r.id, inputs))
                          .join(', ')}
                    </td>
                  </tr>
                )
              })}
            </tbody>
          </table>
        </div>
      )}
      {c?.energy && (
        <div className="ticket-body">
          <EnergyBar parts={c.energy.trial} title="Where the trial’s energy goes" />
        </div>
      )}
    </Ticket>
  )
}

type Column = 'speedMps' | 'motorCurrentA' | 'packVoltageV' | 'timingDeg'
const CHARTS: readonly { column: Column; title: string; unit: string; digits: number; what: string }[] = [
  { column: 'speedMps', title: 'Speed over the lap', unit: 'm/s', digits: 2, what: 'fastest' },
  { column: 'motorCurrentA', title: 'Motor current over the lap', unit: 'A', digits: 0, what: 'highest' },
  { column: 'packVoltageV', title: 'Pack voltage over the lap', unit: 'V', digits: 2, what: 'lowest' },
  { column: 'timingDeg', title: 'Timing added by boost and turbo', unit: '°', digits: 1, what: 'most' },
]

const traceIn = (t: LapTrace | null | undefined, unit: SpeedUnit) =>
  t && unit !== 'm/s' ? { ...t, speedMps: t.speedMps.map((v) => inSpeedUnit(v, unit)) } : t

/** Speed, current, voltage and timing over the lap, today as a broken line and the trial as a solid one. */
export function LapTraces({ comparison, stale }: { comparison: Comparison | null; stale: boolean }) {
  const speeds = useSpeedUnit()
  const today = useMemo(() => traceIn(comparison?.today, speeds), [comparison, speeds])
  const trial = useMemo(() => traceIn(comparison?.trial, speeds), [comparison, speeds])
  if (!today || !trial) return null
  return (
    <Ticket label="Lap traces">
      <TicketHead
        title="Over the lap"
        sub={`solid line: the trial, ${fixed(trial.lapS, 2)} s; broken line: today, ${fixed(today.lapS, 2)} s${stale ? '; of an earlier trial' : ''}`}
      />
      <TicketBody>
        {CHARTS.map((c) => (
          <TraceChart
            key={c.column}
            {...c}
            unit={c.unit === 'm/s' ? speeds : c.unit}
            digits={c.unit === 'm/s' ? speedDigits(c.digits, speeds) : c.digits}
            today={today}
            trial={trial}
          />
        ))}
      </TicketBody>
    </Ticket>
  )
}

const extreme = (t: LapTrace, column: Column) =>
  column === 'packVoltageV' ? Math.min(...t[column]) : Math.max(...t[column])

function TraceChart({
  column,
  title,
  unit,
  digits,
  what,
  today,
  trial,
}: (typeof CHARTS)[number] & { today: LapTrace; trial: LapTrace }) {
  const draw = useCallback(
    (plot: typeof Plot, width: number): Plot.PlotOptions => {
      const points = (t: LapTrace) => t.distanceM.map((d, i) => ({ d, v: t[column][i] ?? 0 }))
      const corners = trial.marks.flatMap((m, i) =>
        m.kind === 'corner'
          ? [{ x1: m.atM, x2: trial.marks[i + 1]?.atM ?? trial.distanceM.at(-1) ?? m.atM, name: m.name }]
          : [],
      )
      const values = [...today[column], ...trial[column]]
      const [lo, hi] = [Math.min(...values), Math.max(...values)]
      const room = (hi - lo || 1) * 0.08
      const domain: [number, number] =
        column === 'packVoltageV' ? [lo - room, hi + room] : [Math.min(0, lo), hi + room]
      return {
        height: width < 500 ? 190 : 220,
        marginLeft: 48,
        x: { label: 'distance, m' },
        y: { label: unit, grid: true, domain },
        marks: [
          plot.rectX(corners, { x1: 'x1', x2: 'x2', fill: 'var(--wash)' }),
          ...(width > 640
            ? [
                plot.text(corners, {
                  x: (c: { x1: number; x2: number }) => (c.x1 + c.x2) / 2,
                  text: 'name',
                  frameAnchor: 'top',
                  fontSize: 11,
                  fill: 'var(--soft)',
                  lineWidth: 7,
                }),
              ]
            : []),
          plot.line(points(today), {
            x: 'd',
            y: 'v',
            stroke: 'var(--soft)',
            strokeDasharray: '5 4',
            strokeWidth: 1.5,
          }),
          plot.line(points(trial), { x: 'd', y: 'v', stroke: 'currentColor', strokeWidth: 2 }),
        ],
      }
    },
    [column, unit, today, trial],
  )
  const table = useMemo(() => {
    const at = (t: LapTrace, d: number) => {
      const i = t.distanceM.findIndex((x) => x >= d)
      return Number((t[column][i < 0 ? t[column].length - 1 : i] ?? 0).toFixed(digits))
    }
    const steps = trial.marks.flatMap((m, i) => {
      const end = trial.marks[i + 1]?.atM ?? trial.distanceM.at(-1) ?? m.atM
      return [
        { name: `${m.name}, entry`, d: m.atM },
        { name: `${m.name}, middle`, d: (m.atM + end) / 2 },
      ]
    })
    return {
      columns: ['Where', 'm', `Today, ${unit}`, `Trial, ${unit}`],
      rows: steps.map((s) => [s.name, Number(s.d.toFixed(1)), at(today, s.d), at(trial, s.d)]),
    }
  }, [column, unit, digits, today, trial])
  return (
    <Chart
      title={`${title}, ${unit}`}
      summary={`${what[0]?.toUpperCase()}${what.slice(1)} ${figureText(extreme(trial, column), { digits, unit })} with the trial, ${figureText(extreme(today, column), { digits, unit })} today. Shaded: corners.`}
      draw={draw}
      table={table}
    />
  )
}
