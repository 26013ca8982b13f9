import type { TrackSegment } from '../../board'

/** Which way each corner goes, in driving order: 1 left, -1 right. */
export type Turns = readonly (1 | -1)[]

export interface Point {
  x: number
  y: number
}

/** One piece as it lies on the ground, m; y grows downwards as on a screen, headings are counted against it. */
export interface WalkedPiece {
  points: Point[]
  /** Which way it is entered, radians. */
  heading: number
}

export interface LapWalk {
  pieces: WalkedPiece[]
  /** Where the lap ends, having begun at the origin towards +x. */
  end: Point
  /** Which way it ends, radians, all turns summed. */
  heading: number
}

/** Does the piece have the measures that a drawing needs? */
export const isDrawable = (s: TrackSegment): boolean =>
  s.kind === 'straight' ? !!s.lengthM : !!s.radiusM && !!s.arcDegrees

/** Along the driven line, m. */
export const pieceLength = (s: TrackSegment): number =>
  s.kind === 'straight' ? (s.lengthM ?? 0) : ((s.radiusM ?? 0) * (s.arcDegrees ?? 0) * Math.PI) / 180

/** Corners are drawn as chords of no more than this, radians. */
const CHORD = Math.PI / 30

/**
 * Walks the pieces one after the other: straights along the heading, corners as arcs of circles. `isCoarse` takes each corner in one chord: the
 * same end, no picture.
 */
export function walkLap(segments: readonly TrackSegment[], turns: Turns, isCoarse = false): LapWalk {
  let [x, y, heading, corner] = [0, 0, 0, 0]
  const pieces = segments.map((s): WalkedPiece => {
    const from = heading
    const points: Point[] = [{ x, y }]
    const arc = s.kind === 'corner' ? ((turns[corner++] ?? 1) * (s.arcDegrees ?? 0) * Math.PI) / 180 : 0
    const steps = arc === 0 || isCoarse ? 1 : Math.max(2, Math.ceil(Math.abs(arc) / CHORD))
    const by = arc / steps
    const chord = s.kind === 'corner' ? 2 * (s.radiusM ?? 0) * Math.sin(Math.abs(by) / 2) : (s.lengthM ?? 0)
    for (let i = 0; i < steps; i++) {
      x += chord * Math.cos(heading + by / 2)
      y -= chord * Math.sin(heading + by / 2)
      heading += by
      points.push({ x, y })
    }
    return { points, heading: from }
  })
  return { pieces, end: { x, y }, heading }
}

/** How far the end's heading is off the start's, radians, -pi to pi; 0 for a lap that closes. */
export function headingOff(heading: number): number {
  const full = 2 * Math.PI
  const off = ((heading % full) + full) % full
  return off > Math.PI ? off - full : off
}

/** m per radian: a lap that comes back facing elsewhere is as bad as a gap of the same angle at ten meters. */
const ARM_M = 10
const costOf = (segments: readonly TrackSegment[], turns: Turns): number => {
  const { end, heading } = walkLap(segments, turns, true)
  return Math.hypot(end.x, end.y) + ARM_M * Math.abs(headingOff(heading))
}

/** More corners of unknown direction than this are not tried in all combinations. */
const MOST_TRIED = 12

/** Which way the corners go; those that do not say are turned so that the lap closes as nearly as can be. */
export function closingTurns(segments: readonly TrackSegment[]): Turns {
  const known = segments
    .filter((s) => s.kind === 'corner')
    .map((c): 1 | -1 | 0 => (c.turn === undefined ? 0 : c.turn === 'left' ? 1 : -1))
  const open = known.flatMap((t, i) => (t === 0 ? [i] : []))
  const start = known.map((t): 1 | -1 => (t === 0 ? 1 : t))
  // The mirror image of a lap closes as well: where nothing is known, the first corner goes left.
  const free = open.length === known.length ? open.slice(1) : open
  if (free.length === 0) return start
  return free.length <= MOST_TRIED ? bestOfAll(segments, start, free) : bestNearby(segments, start, free)
}

const flipped = (turns: Turns, at: readonly number[]): Turns =>
  turns.map((t, i) => (at.includes(i) ? (t === 1 ? -1 : 1) : t))

function bestOfAll(segments: readonly TrackSegment[], start: Turns, free: readonly number[]): Turns {
  let [best, least] = [start, costOf(segments, start)]
  for (let bits = 1; bits < 1 << free.length; bits++) {
    const turns = flipped(
      start,
      free.filter((_, k) => (bits >> k) & 1),
    )
    const cost = costOf(segments, turns)
    if (cost < least) [best, least] = [turns, cost]
  }
  return best
}

/** From all left, one or two corners turned over at a time as long as that helps. */
function bestNearby(segments: readonly TrackSegment[], start: Turns, free: readonly number[]): Turns {
  let [best, least] = [start, costOf(segments, start)]
  for (let before = Infinity; least < before;) {
    before = least
    const from = best
    for (const a of free)
      for (const b of free.filter((i) => i >= a)) {
        const turns = flipped(from, [a, b])
        const cost = costOf(segments, turns)
        if (cost < least) [best, least] = [turns, cost]
      }
  }
  return best
}
