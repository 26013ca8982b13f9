import { axisTicks, spreadApart, withoutOverlap } from './axis-ticks'
import { plotSpan, PlotAxes, px } from './plot-axes'
import { textWidth, type Room } from './use-room'

export interface PlotLine {
  points: readonly (readonly [x: number, y: number])[]
  /** `then`: what it is compared with, as a broken line. */
  look: 'now' | 'then'
  /** Stands at its end. */
  name?: string
}

export interface LinePlotProps {
  room: Room
  height: number
  x: { from: number; to: number; title: string; isWhole?: boolean }
  y: { from: number; to: number; title: string }
  lines: readonly PlotLine[]
  /** Parts of the level axis, named where there is room. */
  shades?: readonly { from: number; to: number; name: string }[]
  dots?: readonly { x: number; y: number; isHollow: boolean }[]
  /** A place on the level axis that somebody points at. */
  cursor?: number | null
}

/** Lines over a level axis, as SVG. Says nothing by itself: its figures stand in a table beside it. */
export function LinePlot({
  room,
  height,
  x,
  y,
  lines,
  shades = [],
  dots = [],
  cursor = null,
}: LinePlotProps) {
  const { width, em } = room
  const { left, span } = plotSpan(room)
  const [top, bottom] = [1.9 * em, 2.9 * em]
  const tall = Math.max(0, height - top - bottom)
  const atX = (v: number) => left + ((v - x.from) / (x.to - x.from || 1)) * span
  const atY = (v: number) => top + tall - ((v - y.from) / (y.to - y.from || 1)) * tall
  const wide = (text: string) => textWidth(text, em)
  const levels = axisTicks({ ...y, room: tall, sizeOf: () => em * 1.3 })
  const places = axisTicks({ ...x, room: span, sizeOf: wide })
  const names = withoutOverlap(
    shades.map((s) => ({ ...s, at: (atX(s.from) + atX(s.to)) / 2 })),
    (s) => wide(s.name),
  ).filter(
    (s) => s.at - wide(s.name) / 2 >= Math.max(left, wide(y.title) + em) && s.at + wide(s.name) / 2 <= width,
  )
  const ends = lines.flatMap(({ name, points }) => {
    const end = points.at(-1)
    return name && end ? [{ name, x: atX(end[0]), y: atY(end[1]) }] : []
  })
  const endsAt = spreadApart(
    ends.map((e) => e.y),
    1.2 * em,
  )
  if (span === 0) return null
  return (
    <svg className="plot" width={width} height={height} aria-hidden="true" fontSize={em}>
      {shades.map((s) => (
        <rect
          key={s.from}
          className="plot-shade"
          x={px(atX(s.from))}
          y={px(top)}
          width={px(Math.max(0, atX(s.to) - atX(s.from)))}
          height={px(tall)}
        />
      ))}
      <PlotAxes
        room={room}
        levels={levels}
        atY={atY}
        bottom={top + tall}
        titles={{ x: x.title, y: y.title }}
      />
      <path className="plot-axis" d={`M${px(left)} ${px(top)}V${px(top + tall)}H${px(left + span)}`} />
      {places.map((t) => (
        <g key={t.value}>
          <path className="plot-axis" d={`M${px(left + t.at)} ${px(top + tall)}v${px(0.3 * em)}`} />
          <text x={px(left + t.at)} y={px(top + tall + 1.3 * em)} textAnchor="middle">
            {t.text}
          </text>
        </g>
      ))}
      {names.map((s) => (
        <text key={s.from} x={px(s.at)} y={px(1 * em)} textAnchor="middle" className="plot-name">
          {s.name}
        </text>
      ))}
      {lines.map((l, i) => (
        <path
          key={i}
          className={`plot-line plot-${l.look}`}
          d={l.points.map(([a, b], k) => `${k === 0 ? 'M' : 'L'}${px(atX(a))} ${px(atY(b))}`).join('')}
        />
      ))}
      {dots.map((d, i) => (
        <circle
          key={i}
          className={d.isHollow ? 'plot-dot plot-hollow' : 'plot-dot'}
          cx={px(atX(d.x))}
          cy={px(atY(d.y))}
          r={px(0.28 * em)}
        />
      ))}
      {ends.map((e, i) => (
        <text key={e.name} x={px(e.x + 0.6 * em)} y={px(endsAt[i] ?? e.y)} dy="0.35em" className="plot-end">
          {e.name}
        </text>
      ))}
      {cursor !== null && (
        <path className="plot-cursor" d={`M${px(atX(cursor))} ${px(top)}V${px(top + tall)}`} />
      )}
    </svg>
  )
}
