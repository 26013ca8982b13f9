import type { TrackSegment } from '../../board'
import { headingOff, walkLap, type Turns } from './lap-walk'

/** One measure that, put right alone, closes the lap or nearly so: where a typo may be. */
export interface ClosingHint {
  /** Place of the piece in driving order, from 0. */
  index: number
  field: 'lengthM' | 'radiusM' | 'arcDegrees' | 'turn'
  /** What it would have to be: m, degrees, or the other direction. */
  value: number | 'left' | 'right'
  /** What would be left of the gap, m. */
  gapM: number
}

/** What a lap that was measured by tape and eye may be off by. */
export const CLOSES_WITHIN_M = 0.5
export const CLOSES_WITHIN_DEG = 5
/** A hint takes four fifths of the gap away at least. */
const LEFT_OVER = 0.2
/** Ranges of the kit's own fields. */
const FITS = {
  lengthM: [0.5, 200],
  radiusM: [0.3, 50],
  arcDegrees: [1, 360],
} as const

/** Does a lap that ends there and faces that way close, by the tape's and the eye's own error? */
export const closes = (gapM: number, offDeg: number): boolean =>
  gapM <= CLOSES_WITHIN_M && Math.abs(offDeg) <= CLOSES_WITHIN_DEG

/**
 * Which single measures would close a lap that does not, or nearly: each length, radius and arc solved for, each stated direction turned over.
 * Several may do it (of two parallel straights always both), so they are hints and no verdict; none when more than one measure is off. Best
 * first.
 */
export function closingHints(segments: readonly TrackSegment[], turns: Turns): ClosingHint[] {
  const { end, heading, pieces } = walkLap(segments, turns)
  const offDeg = (headingOff(heading) * 180) / Math.PI
  const gapNowM = Math.hypot(end.x, end.y)
  if (closes(gapNowM, offDeg)) return []
  const mostM = Math.max(CLOSES_WITHIN_M, LEFT_OVER * gapNowM)
  const mostDeg = Math.max(CLOSES_WITHIN_DEG, LEFT_OVER * Math.abs(offDeg))
  let corner = -1
  const hints = segments.flatMap((s, index) => {
    if (s.kind === 'corner') corner++
    const at = corner
    const turn = turns[at] ?? 1
    const attempt = (field: ClosingHint['field'], value: ClosingHint['value']): ClosingHint[] => {
      if (field !== 'turn') {
        const [min, max] = FITS[field]
        if (!(Number(value) >= min && Number(value) <= max)) return []
      }
      const changed = segments.map((x, i) => (i === index ? { ...x, [field]: value } : x))
      const then = walkLap(
        changed,
        field === 'turn' ? turns.map((t, i) => (i === at ? (t === 1 ? -1 : 1) : t)) : turns,
        true,
      )
      const gapM = Math.hypot(then.end.x, then.end.y)
      const isBetter = gapM <= mostM && Math.abs((headingOff(then.heading) * 180) / Math.PI) <= mostDeg
      return isBetter ? [{ index, field, value, gapM }] : []
    }
    const points = pieces[index]?.points ?? []
    const [from, to] = [points[0], points.at(-1)]
    const run = from && to ? { x: to.x - from.x, y: to.y - from.y } : { x: 0, y: 0 }
    const square = run.x ** 2 + run.y ** 2
    // The end lies where it lies by this piece's chord; both grow with the piece's own measure in proportion.
    const share = square < 1e-12 ? 0 : 1 - (end.x * run.x + end.y * run.y) / square
    if (s.kind === 'straight') return attempt('lengthM', toCentimetre((s.lengthM ?? 0) * share))
    const arc = (s.arcDegrees ?? 0) - turn * offDeg
    return [
      ...attempt('radiusM', toCentimetre((s.radiusM ?? 0) * share)),
      ...attempt('arcDegrees', Math.round(arc * 10) / 10),
      ...(s.turn === undefined ? [] : attempt('turn', s.turn === 'left' ? 'right' : 'left')),
    ]
  })
  return hints.sort((a, b) => a.gapM - b.gapM)
}

const toCentimetre = (m: number): number => Math.round(m * 100) / 100
