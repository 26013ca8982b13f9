import { axisTicks, everyNth } from './axis-ticks'
import { plotSpan, PlotAxes, px } from './plot-axes'
import { textWidth, type Room } from './use-room'

export interface PlotBar {
  id: string
  /** Below it, where there is room. */
  name: string
  value: number
}

/** Bars up and down from nothing, in a row; those below are hatched, so that nobody needs the color. Its figures stand in a table beside it. */
export function BarPlot({
  room,
  height,
  bars,
  x,
  y,
}: {
  room: Room
  height: number
  bars: readonly PlotBar[]
  x: { title: string }
  y: { title: string }
}) {
  const { width, em } = room
  const { left, span } = plotSpan(room)
  const [top, bottom] = [1.9 * em, 2.9 * em]
  const tall = Math.max(0, height - top - bottom)
  const values = bars.map((b) => b.value)
  // At least one unit each way round: a day on time is a flat line and no noise.
  const from = Math.min(0, ...values) < 0 ? Math.min(-1, ...values) : 0
  const to = Math.max(1, ...values)
  const atY = (v: number) => top + tall - ((v - from) / (to - from)) * tall
  const each = span / Math.max(1, bars.length)
  const middle = (i: number) => left + (i + 0.5) * each
  const thick = Math.min(2.5 * em, Math.max(1.5, 0.7 * each))
  const levels = axisTicks({ from, to, room: tall, sizeOf: () => em * 1.3, isWhole: true })
  const names = everyNth(
    bars.map((b, i) => ({ ...b, at: middle(i) })),
    (b) => textWidth(b.name, em),
  )
  if (span === 0) return null
  return (
    <svg className="plot" width={width} height={height} aria-hidden="true" fontSize={em}>
      <PlotAxes
        room={room}
        levels={levels}
        atY={atY}
        bottom={top + tall}
        titles={{ x: x.title, y: y.title }}
      />
      {bars.map((b, i) => {
        const [high, low] = [atY(Math.max(0, b.value)), atY(Math.min(0, b.value))]
        const line = `M${px(middle(i))} ${px(low)}V${px(high)}`
        return (
          <g key={b.id} data-bar={b.value < 0 ? 'below' : 'above'}>
            <path className="plot-bar" d={line} strokeWidth={px(thick)} />
            {b.value < 0 && (
              <path className="plot-hatch" d={line} strokeWidth={px(thick)} strokeDasharray="2 4" />
            )}
          </g>
        )
      })}
      <path className="plot-axis" d={`M${px(left)} ${px(atY(0))}H${px(left + span)}`} />
      {names.map((b) => (
        <text key={b.id} x={px(b.at)} y={px(top + tall + 1.3 * em)} textAnchor="middle">
          {b.name}
        </text>
      ))}
    </svg>
  )
}
