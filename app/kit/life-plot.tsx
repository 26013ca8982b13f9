'use client'
import type { ReactNode } from 'react'
import type { Trend } from '@/lib/season'
import { figureText } from '@/lib/core/figure-text'
import { PlotFrame, type PlotTable } from '@/app/ui/plot-frame'

const [WIDTH, HEIGHT] = [320, 132]
const [LEFT, RIGHT, TOP, BOTTOM] = [44, 8, 14, 22]

export interface LifePlotProps {
  title: string
  /** What the picture says, in sentences. */
  children: ReactNode
  points: readonly { x: number; y: number; isHollow?: boolean }[]
  trend: Trend | null
  limit: number | null
  unit: string
  digits: number
  /** Under the first and the last point. */
  ends: readonly [string, string]
  table: PlotTable
}

/** A figure over a life: its points, the fitted line with the slopes that may be, the limit, and the same as a table. */
export function LifePlot(props: LifePlotProps) {
  const { title, children, points, trend, limit, unit, digits, ends, table } = props
  if (points.length === 0)
    return (
      <figure className="life" aria-label={title}>
        <figcaption className="font-semibold">{title}</figcaption>
        <div className="small">{children}</div>
      </figure>
    )
  const [first, last] = [points[0]?.x ?? 0, points.at(-1)?.x ?? 0]
  const lines = trend ? [trend.slope, trend.low, trend.high].map((s) => trend.withSlope(s)) : []
  const ys = [...points.map((p) => p.y), ...(limit === null ? [] : [limit])]
  const [low, high] = [Math.min(...ys), Math.max(...ys)]
  const room = Math.max((high - low) * 0.08, Math.abs(high) * 0.01, 1e-6)
  const [bottom, top] = [low - room, high + room]
  const x = (v: number) =>
    last === first
      ? (LEFT + WIDTH - RIGHT) / 2
      : LEFT + ((v - first) / (last - first)) * (WIDTH - LEFT - RIGHT)
  const y = (v: number) =>
    TOP + ((top - Math.min(top, Math.max(bottom, v))) / (top - bottom)) * (HEIGHT - TOP - BOTTOM)
  const at = (px: number, v: number) => `${x(px).toFixed(1)} ${y(v).toFixed(1)}`
  const [line, slow, fast] = lines
  const text = (v: number) => figureText(v, { digits })
  return (
    <div className="life">
      <PlotFrame title={title} summary={children} table={table}>
        <svg className="life-plot" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} aria-hidden="true">
          {slow && fast && (
            <path
              className="life-band"
              d={`M${at(first, slow(first))}L${at(last, slow(last))}L${at(last, fast(last))}L${at(first, fast(first))}Z`}
            />
          )}
          <path className="life-edge" d={`M${LEFT} ${HEIGHT - BOTTOM}H${WIDTH - RIGHT}`} />
          {limit !== null && (
            <>
              <path className="life-limit" d={`M${LEFT} ${y(limit).toFixed(1)}H${WIDTH - RIGHT}`} />
              <text x={WIDTH - RIGHT} y={y(limit) - 4} textAnchor="end">
                leaves the races
              </text>
            </>
          )}
          {line && <path className="life-line" d={`M${at(first, line(first))}L${at(last, line(last))}`} />}
          {points.map((p, i) => (
            <circle
              key={i}
              className={p.isHollow ? 'is-hollow' : undefined}
              cx={x(p.x)}
              cy={y(p.y)}
              r="3.2"
            />
          ))}
          <text x={LEFT - 6} y={y(high) + 4} textAnchor="end">
            {text(high)}
          </text>
          {high > low && (
            <text x={LEFT - 6} y={y(low) + 4} textAnchor="end">
              {text(low)}
            </text>
          )}
          <text x={LEFT - 6} y={HEIGHT - 6} textAnchor="end">
            {unit}
          </text>
          <text x={LEFT} y={HEIGHT - 6}>
            {ends[0]}
          </text>
          {last > first && (
            <text x={WIDTH - RIGHT} y={HEIGHT - 6} textAnchor="end">
              {ends[1]}
            </text>
          )}
        </svg>
      </PlotFrame>
    </div>
  )
}
