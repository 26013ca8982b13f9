import type { TrackSegment } from '../board'

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
  /** How far from the start the lap ends, m: how well the track was measured. */
  gapM: number
  /** Some corners do not say which way they go, and were turned so that the lap closes best. */
  guessed: boolean
}

/** More corners of unknown direction than this are not tried in all combinations. */
const MOST_TRIED = 14

type Turns = readonly (1 | -1)[]

/**
 * A lap as seen from above, from its straights and corners. Corners that do not say which way they go are turned so that the lap comes back to
 * its start heading and place as nearly as can be. Null when a piece lacks its measures.
 */
export function trackSketch(segments: readonly TrackSegment[]): TrackSketch | null {
  if (segments.length === 0 || segments.some((s) => !isWhole(s))) return null
  const corners = segments.filter((s) => s.kind === 'corner')
  const unknown = corners.filter((s) => s.turn === undefined).length
  const turns = bestTurns(segments, corners, unknown)
  const { end, points, pieces } = walk(segments, turns)
  const xs = points.map((p) => p.x)
  const ys = points.map((p) => p.y)
  const [x, y] = [Math.min(...xs), Math.min(...ys)]
  return {
    pieces,
    box: { x, y, width: Math.max(...xs) - x, height: Math.max(...ys) - y },
    lengthM: segments.reduce((sum, s) => sum + lengthOf(s), 0),
    gapM: Math.hypot(end.x, end.y),
    guessed: unknown > 0,
  }
}

const isWhole = (s: TrackSegment): boolean =>
  s.kind === 'straight' ? !!s.lengthM : !!s.radiusM && !!s.arcDegrees
const lengthOf = (s: TrackSegment): number =>
  s.kind === 'straight' ? (s.lengthM ?? 0) : ((s.radiusM ?? 0) * (s.arcDegrees ?? 0) * Math.PI) / 180

function bestTurns(
  segments: readonly TrackSegment[],
  corners: readonly TrackSegment[],
  unknown: number,
): Turns {
  const fixed = corners.map((c) => (c.turn === undefined ? 0 : c.turn === 'left' ? 1 : -1))
  const withBits = (bits: number): Turns => {
    let k = 0
    return fixed.map((t): 1 | -1 => (t !== 0 ? (t as 1 | -1) : (bits >> k++) & 1 ? -1 : 1))
  }
  if (unknown === 0 || unknown > MOST_TRIED) return withBits(0)
  let best = withBits(0)
  let least = Infinity
  // The mirror image of a lap closes as well: the first unknown corner goes left.
  const free = fixed.every((t) => t === 0) ? unknown - 1 : unknown
  for (let bits = 0; bits < 1 << free; bits++) {
    const turns = withBits(free === unknown ? bits : bits << 1)
    const { end, heading } = walk(segments, turns, false)
    const off = Math.abs(((heading % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI))
    // A lap that comes back facing elsewhere would not close on its next round: as bad as a gap of the same angle at ten metres.
    const cost = Math.hypot(end.x, end.y) + 10 * Math.min(off, 2 * Math.PI - off)
    if (cost < least) {
      least = cost
      best = turns
    }
  }
  return best
}

interface Point {
  x: number
  y: number
}

function walk(segments: readonly TrackSegment[], turns: Turns, draw = true) {
  let [x, y, heading, corner] = [0, 0, 0, 0]
  const points: Point[] = [{ x, y }]
  const pieces: SketchPiece[] = []
  const r = (n: number) => n.toFixed(2)
  segments.forEach((s, index) => {
    const from = { x, y }
    const piece = { index, kind: s.kind, name: s.name ?? '' }
    if (s.kind === 'straight') {
      const length = s.lengthM ?? 0
      x += length * Math.cos(heading)
      // SVG's y grows downwards, so a left turn is a turn against it.
      y -= length * Math.sin(heading)
      if (draw)
        pieces.push({
          ...piece,
          path: `M${r(from.x)} ${r(from.y)}L${r(x)} ${r(y)}`,
          x: (from.x + x) / 2,
          y: (from.y + y) / 2,
        })
      points.push({ x, y })
      return
    }
    const turn = turns[corner++] ?? 1
    const radius = s.radiusM ?? 0
    const steps = draw ? Math.max(2, Math.ceil((s.arcDegrees ?? 0) / 6)) : 1
    const by = (turn * (s.arcDegrees ?? 0) * Math.PI) / 180 / steps
    const arc: Point[] = [from]
    for (let i = 0; i < steps; i++) {
      const chord = 2 * radius * Math.sin(Math.abs(by) / 2)
      x += chord * Math.cos(heading + by / 2)
      y -= chord * Math.sin(heading + by / 2)
      heading += by
      arc.push({ x, y })
    }
    if (!draw) return
    const middle = arc[Math.floor(arc.length / 2)] ?? from
    points.push(...arc)
    pieces.push({
      ...piece,
      path: `M${arc.map((p) => `${r(p.x)} ${r(p.y)}`).join('L')}`,
      x: middle.x,
      y: middle.y,
    })
  })
  return { end: { x, y }, heading, points, pieces }
}
