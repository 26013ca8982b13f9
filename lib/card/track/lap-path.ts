import type { TrackSegment } from '../../board'
import { closingTurns, isDrawable, walkLap, type Point } from './lap-walk'
import type { TraceMark } from './lap-trace'

/** A place on the drawn lap, and the way the car goes there as a unit vector; y grows downwards. */
export interface PathPoint extends Point {
  dx: number
  dy: number
}

/** The drawn lap with the driven one laid along it: where on the drawing the car is after so many meters. */
export interface LapPath {
  lengthM: number
  /** What is drawn lies within, m. */
  box: { x: number; y: number; width: number; height: number }
  at: (distanceM: number) => PathPoint
  /** From one place to a later one, every corner point between them included. */
  between: (fromM: number, toM: number) => Point[]
}

interface Knot extends Point {
  /** Of the driven lap, m. */
  d: number
}

/**
 * Null where the track can't be drawn or the lap is of another track. Each piece of the driven lap lies along its own piece of the drawing: a model whose
 * track is a little longer than the tape says still brakes at the drawn corner.
 */
export function lapPath(segments: readonly TrackSegment[], marks: readonly TraceMark[]): LapPath | null {
  if (segments.length === 0 || segments.length !== marks.length || !segments.every(isDrawable)) return null
  const { pieces } = walkLap(segments, closingTurns(segments))
  const knots = pieces.flatMap(({ points }, i): Knot[] => {
    const { atM = 0, lengthM = 0 } = marks[i] ?? {}
    const chords = points.slice(1).map((p, k) => gap(points[k] ?? p, p))
    const sum = chords.reduce((a, b) => a + b, 0) || 1
    let along = 0
    return points.slice(1).map((p, k) => {
      along += chords[k] ?? 0
      return { ...p, d: atM + (lengthM * along) / sum }
    })
  })
  const start = { ...(pieces[0]?.points[0] ?? { x: 0, y: 0 }), d: 0 }
  const line = [start, ...knots]
  const lengthM = line.at(-1)?.d ?? 0
  const at = (distanceM: number): PathPoint => {
    const d = Math.min(lengthM, Math.max(0, distanceM))
    const i = Math.max(
      1,
      line.findIndex((k) => k.d >= d),
    )
    const [from, to] = [line[i - 1] ?? start, line[i] ?? start]
    const long = gap(from, to) || 1
    const share = to.d > from.d ? (d - from.d) / (to.d - from.d) : 0
    return {
      x: from.x + share * (to.x - from.x),
      y: from.y + share * (to.y - from.y),
      dx: (to.x - from.x) / long,
      dy: (to.y - from.y) / long,
    }
  }
  const xs = line.map((p) => p.x)
  const ys = line.map((p) => p.y)
  const [x, y] = [Math.min(...xs), Math.min(...ys)]
  return {
    lengthM,
    box: { x, y, width: Math.max(...xs) - x, height: Math.max(...ys) - y },
    at,
    between: (fromM, toM) => [at(fromM), ...line.filter((k) => k.d > fromM && k.d < toM), at(toM)],
  }
}

const gap = (a: Point, b: Point): number => Math.hypot(b.x - a.x, b.y - a.y)
