import type { TrackSketch } from '@/lib/card'

/** The lap from above, to be tapped. The same places stand below it by name, for keyboards and for those who can't see it. */
export function PlacePicture({
  sketch,
  chosen,
  marked,
  onChoose,
}: {
  sketch: TrackSketch
  chosen: number | null
  /** Pieces of which something was said. */
  marked: ReadonlySet<number>
  onChoose?: ((piece: number) => void) | undefined
}) {
  const { box } = sketch
  const size = Math.max(box.width, box.height, 10)
  const edge = size / 12
  const label = size / 18
  return (
    <svg
      className="place-picture"
      viewBox={`${box.x - edge} ${box.y - edge} ${box.width + 2 * edge} ${box.height + 2 * edge}`}
      aria-hidden="true"
    >
      {sketch.pieces.map((p) => (
        <g key={p.index} onClick={onChoose && (() => onChoose(p.index))} data-piece={p.index}>
          <path d={p.path} fill="none" stroke="transparent" strokeWidth={size / 9} pointerEvents="stroke" />
          <path
            d={p.path}
            fill="none"
            stroke={p.index === chosen ? 'var(--hot)' : 'currentColor'}
            strokeWidth={size / (p.index === chosen || marked.has(p.index) ? 26 : 60)}
            strokeLinejoin="round"
          />
          {marked.has(p.index) && (
            <circle
              cx={p.x}
              cy={p.y}
              r={label * 0.55}
              fill="var(--sheet)"
              stroke="currentColor"
              strokeWidth={size / 110}
            />
          )}
        </g>
      ))}
    </svg>
  )
}
