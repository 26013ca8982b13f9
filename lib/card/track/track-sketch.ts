import type { TrackSegment } from '../../board'
import { closes, closingHints, type ClosingHint } from './closing-hints'
import { closingTurns, headingOff, isDrawable, pieceLength, walkLap, type Point } from './lap-walk'

export interface SketchPiece {
  index: number
  kind: 'straight' | 'corner'
  name: string
  /** SVG path data, m; y grows downwards as in SVG. */
  path: string
  /** Where its label goes, m. */
  x: number
  y: number
}

export interface TrackSketch {
  pieces: SketchPiece[]
  /** What is drawn lies within, m. */
  box: { x: number; y: number; width: number; height: number }
  lengthM: number
  longestStraightM: number
  straights: number
  corners: number
  /** Where the lap ends, m; it begins at the origin, towards +x. */
  end: Point
  /** How far from the start the lap ends, m: how well the track was measured. */
  gapM: number
  /** By how much it ends facing elsewhere than it began, degrees, -180 to 180: left positive. */
  headingOffDeg: number
  /** The end meets the start, by the tape's and the eye's own error. */
  closes: boolean
  /** Single measures that would close a lap that does not. */
  hints: ClosingHint[]
  /** Some corners do not say which way they go, and were turned so that the lap closes best. */
  guessed: boolean
}

/**
 * A lap as seen from above, from its straights and corners. Corners that do not say which way they go are turned so that the lap comes back to
 * its start heading and place as nearly as can be. Null when a piece lacks its measures.
 */
export function trackSketch(segments: readonly TrackSegment[]): TrackSketch | null {
  if (segments.length === 0 || !segments.every(isDrawable)) return null
  const corners = segments.filter((s) => s.kind === 'corner')
  const straights = segments.filter((s) => s.kind === 'straight')
  const turns = closingTurns(segments)
  const walk = walkLap(segments, turns)
  const points = walk.pieces.flatMap((p) => p.points)
  const xs = points.map((p) => p.x)
  const ys = points.map((p) => p.y)
  const [x, y] = [Math.min(...xs), Math.min(...ys)]
  const gapM = Math.hypot(walk.end.x, walk.end.y)
  const headingOffDeg = (headingOff(walk.heading) * 180) / Math.PI
  return {
    pieces: segments.map((s, index) => {
      const line = walk.pieces[index]?.points ?? []
      return { index, kind: s.kind, name: s.name ?? '', path: pathOf(line), ...middleOf(line) }
    }),
    box: { x, y, width: Math.max(...xs) - x, height: Math.max(...ys) - y },
    lengthM: segments.reduce((sum, s) => sum + pieceLength(s), 0),
    longestStraightM: Math.max(0, ...straights.map(pieceLength)),
    straights: straights.length,
    corners: corners.length,
    end: walk.end,
    gapM,
    headingOffDeg,
    closes: closes(gapM, headingOffDeg),
    hints: closingHints(segments, turns),
    guessed: corners.some((s) => s.turn === undefined),
  }
}

const r = (n: number) => n.toFixed(2)
const pathOf = (line: readonly Point[]): string => `M${line.map((p) => `${r(p.x)} ${r(p.y)}`).join('L')}`

/** Half way along: between the ends of a straight, at the middle chord's end of a corner. */
function middleOf(line: readonly Point[]): Point {
  const [from, to] = [line[0], line.at(-1)]
  if (!from || !to) return { x: 0, y: 0 }
  if (line.length > 2) return line[Math.floor(line.length / 2)] ?? from
  return { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 }
}
