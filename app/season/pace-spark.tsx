import { paceText } from './season-text'

const [WIDTH, HEIGHT, EDGE] = [120, 34, 4]

/** A group's runs in the order driven, above the line where slower than the median and below it where faster; all groups on one scale. */
export function PaceSpark({ percents, most }: { percents: readonly number[]; most: number }) {
  if (percents.length === 0) return <span className="small">no lap times to compare</span>
  const x = (i: number) => EDGE + (i / Math.max(1, percents.length - 1)) * (WIDTH - 2 * EDGE)
  const y = (percent: number) => HEIGHT / 2 - (percent / most) * (HEIGHT / 2 - EDGE)
  const said = `from ${paceText(Math.min(...percents))} to ${paceText(Math.max(...percents))}`
  return (
    <svg
      className="pace-spark"
      viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
      role="img"
      aria-label={`${percents.length} ${percents.length === 1 ? 'run' : 'runs'}, ${said}`}
    >
      <line x2={WIDTH} y1={HEIGHT / 2} y2={HEIGHT / 2} stroke="var(--edge)" strokeDasharray="3 3" />
      {/* One path with dots for joints: a season has thousands of runs. */}
      <path
        d={percents.map((p, i) => `M${x(i).toFixed(1)} ${y(p).toFixed(1)}h0`).join('')}
        stroke="currentColor"
        strokeWidth="4.4"
        strokeLinecap="round"
      />
    </svg>
  )
}
