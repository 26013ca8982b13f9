import type { TrackSketch } from '@/lib/card'

/** The lap from above. Decoration for the list beside it, which says the same in words and figures. */
export function TrackMap({ sketch, current }: { sketch: TrackSketch; current: number | null }) {
  const { box } = sketch
  const edge = 0.08 * Math.max(box.width, box.height, 10) + 2
  const size = Math.max(box.width, box.height, 10)
  const label = size / 28
  const start = sketch.pieces[0]
  const from = start ? /^M([-\d.]+) ([-\d.]+)/.exec(start.path) : null
  return (
    <svg
      className="track-map"
      viewBox={`${box.x - edge} ${box.y - edge} ${box.width + 2 * edge} ${box.height + 2 * edge}`}
      role="img"
      aria-label={`Sketch of the lap: ${sketch.lengthM.toFixed(0)} m, ${sketch.pieces.length} pieces`}
    >
      {sketch.pieces.map((p) => (
        <path
          key={p.index}
          d={p.path}
          fill="none"
          stroke={p.index === current ? 'var(--hot)' : 'currentColor'}
          strokeWidth={size / (p.kind === 'straight' ? 60 : 40)}
          strokeLinejoin="round"
        />
      ))}
      {from && (
        <circle
          cx={from[1]}
          cy={from[2]}
          r={size / 45}
          fill="var(--sheet)"
          stroke="currentColor"
          strokeWidth={size / 120}
        />
      )}
      {sketch.pieces.map(
        (p) =>
          (p.name || p.kind === 'straight') && (
            <text
              key={p.index}
              x={p.x}
              y={p.y}
              fontSize={label}
              dy={-label * 0.5}
              textAnchor="middle"
              className="track-label"
            >
              {p.name || p.index + 1}
            </text>
          ),
      )}
    </svg>
  )
}
