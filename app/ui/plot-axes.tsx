import type { AxisTick } from './axis-ticks'
import type { Room } from './use-room'

/** Room left of and right of the drawing itself, in letters: the same for all plots, so that those below each other share their level axis. */
const LEFT_EM = 4
const RIGHT_EM = 1.5

/** Where the drawing itself begins and how wide it is, px. */
export const plotSpan = ({ width, em }: Room): { left: number; span: number } => ({
  left: LEFT_EM * em,
  span: Math.max(0, width - (LEFT_EM + RIGHT_EM) * em),
})

/** px, short enough for an attribute. */
export const px = (n: number): string => n.toFixed(1)

/** What an upright axis and both axes' titles look like on every plot. `bottom`: where the drawing ends, px. */
export function PlotAxes({
  room,
  levels,
  atY,
  bottom,
  titles,
}: {
  room: Room
  levels: readonly AxisTick[]
  atY: (value: number) => number
  bottom: number
  titles: { x: string; y: string }
}) {
  const { em } = room
  const { left, span } = plotSpan(room)
  return (
    <>
      {levels.map((t) => (
        <g key={t.value}>
          <path className="plot-rule" d={`M${px(left)} ${px(atY(t.value))}h${px(span)}`} />
          <text x={px(left - 0.5 * em)} y={px(atY(t.value))} dy="0.35em" textAnchor="end">
            {t.text}
          </text>
        </g>
      ))}
      <text x={px(left + span)} y={px(bottom + 2.5 * em)} textAnchor="end" className="plot-title">
        {titles.x}
      </text>
      <text x="0" y={px(em)} className="plot-title">
        {titles.y}
      </text>
    </>
  )
}
