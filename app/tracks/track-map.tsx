import { pieceName } from './piece-name'
import type { TrackSketch } from '@/lib/card'

/** The lap from above, its pieces numbered as in the list beside it, which says the same in words and figures. */
export function TrackMap({ sketch, current }: { sketch: TrackSketch; current: number | null }) {
  const { box, end } = sketch
  const size = Math.max(box.width, box.height, 10)
  const edge = size / 12
  const label = size / 22
  const arrow = size / 28
  const chosen = sketch.pieces.find((p) => p.index === current)
  return (
    <svg
      className="track-map"
      viewBox={`${box.x - edge} ${box.y - edge} ${box.width + 2 * edge} ${box.height + 2 * edge}`}
      role="img"
      aria-label={`Plan of the lap: ${sketch.lengthM.toFixed(0)} m, ${sketch.pieces.length} pieces, ${
        sketch.closes ? 'closes' : `does not close by ${sketch.gapM.toFixed(1)} m`
      }`}
    >
      {sketch.pieces.map((p) => (
        <path
          key={p.index}
          d={p.path}
          fill="none"
          stroke={p.index === current ? 'var(--hot)' : 'currentColor'}
          strokeWidth={size / (p.kind === 'straight' ? 70 : 45)}
          strokeLinejoin="round"
        />
      ))}
      {!sketch.closes && sketch.gapM > 0 && (
        <path
          data-gap
          d={`M${end.x} ${end.y}L0 0`}
          stroke="var(--hot)"
          strokeWidth={size / 110}
          strokeDasharray={`${size / 60} ${size / 60}`}
        />
      )}
      {!sketch.closes && (
        <circle
          cx={end.x}
          cy={end.y}
          r={size / 60}
          fill="var(--sheet)"
          stroke="var(--hot)"
          strokeWidth={size / 110}
        />
      )}
      <path
        d={`M${arrow} 0L${-arrow * 0.6} ${-arrow}L${-arrow * 0.6} ${arrow}Z`}
        fill="var(--sheet)"
        stroke="currentColor"
        strokeWidth={size / 110}
        strokeLinejoin="round"
      />
      {sketch.pieces.map((p) => (
        <text
          key={p.index}
          x={p.x}
          y={p.y}
          fontSize={label}
          dy={label * 0.35}
          textAnchor="middle"
          className="track-label"
        >
          {p.index + 1}
        </text>
      ))}
      {chosen && (
        <text
          x={box.x + box.width / 2}
          y={box.y - edge / 2}
          fontSize={label}
          dy={label * 0.35}
          textAnchor="middle"
          className="track-label"
        >
          {pieceName(chosen.name, chosen.kind, chosen.index)}
        </text>
      )}
    </svg>
  )
}
