import type { DrivenLap } from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'

const [WIDTH, HEIGHT, EDGE] = [120, 34, 4]

/** The laps of a run as dots, all runs of the car on one scale; slower than the slowest clean lap is drawn at the top. */
export function LapSpark({
  laps,
  range: [low, high],
}: {
  laps: readonly DrivenLap[]
  range: [number, number]
}) {
  if (laps.length === 0) return <span className="small">no lap list</span>
  const x = (i: number) => EDGE + (i / Math.max(1, laps.length - 1)) * (WIDTH - 2 * EDGE)
  const share = (s: number) => Math.min(1, Math.max(0, (s - low) / Math.max(0.01, high - low)))
  const y = (s: number) => HEIGHT - EDGE - share(s) * (HEIGHT - 2 * EDGE)
  const said = laps.map((l) => figureText(l.seconds, { digits: 2 })).join(', ')
  return (
    <svg
      className="lap-spark"
      viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
      role="img"
      aria-label={`${laps.length} laps: ${said} s`}
    >
      <path
        d={`M${laps.map((l, i) => `${x(i).toFixed(1)} ${y(l.seconds).toFixed(1)}`).join('L')}`}
        fill="none"
        stroke="var(--edge)"
        strokeWidth="1"
      />
      {laps.map((l, i) => (
        <circle
          key={l.lap}
          cx={x(i)}
          cy={y(l.seconds)}
          r="2.6"
          fill={l.mark ? 'var(--sheet)' : 'currentColor'}
          stroke="currentColor"
          strokeWidth="1.2"
        />
      ))}
    </svg>
  )
}
