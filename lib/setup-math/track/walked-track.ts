import { checkNumber } from '../check-number'
import { limits } from '../limits'
import { RangeProblem } from '../range-problem'
import { segmentLength, type Segment, type Track } from './track'

/** One line of a walked list: so many paces, turning by so many degrees (left positive, right negative, 0 straight on). */
export interface WalkedStretch {
  paces: number
  turnDeg?: number
  grip?: number
  name?: string
}

export interface WalkedTrack {
  track: Track
  lengthM: number
  /** All turns summed; a lap that does not cross itself turns by 360 either way, a figure of eight by 0. */
  turnSumDeg: number
  /** How far from the start the list ends, m: the walk's own error. */
  gapM: number
}

/**
 * A track from a walked list: straights as paced, corners with radius = arc length / angle. The gap between end and start tells how well
 * the list was walked.
 * @throws RangeProblem
 * @example trackFromWalk([{ paces: 30 }, { paces: 12, turnDeg: 180 }, ...], { paceM: 0.8 })
 */
export function trackFromWalk(
  stretches: readonly WalkedStretch[],
  { paceM }: { paceM: number },
): WalkedTrack {
  const pace = checkNumber('paceM', paceM, { min: 0.2, max: 2, unit: 'm' })
  if (!Array.isArray(stretches) || stretches.length === 0)
    throw new RangeProblem('stretches', stretches, 'one stretch or more')
  let [x, y, heading, turnSumDeg] = [0, 0, 0, 0]
  const segments = stretches.map((s: WalkedStretch, i): Segment => {
    const lengthM = checkNumber(`stretches[${i}].paces`, s.paces, { ...limits.length, unit: 'paces' }) * pace
    const turnDeg = checkNumber(`stretches[${i}].turnDeg`, s.turnDeg ?? 0, {
      min: -1080,
      max: 1080,
      unit: 'degrees',
    })
    const turn = (turnDeg * Math.PI) / 180
    const rest = {
      ...(s.name !== undefined && { name: s.name }),
      ...(s.grip !== undefined && { grip: s.grip }),
    }
    // The chord of the arc lies half the turn off the heading; its length is 2 R sin(turn / 2).
    const chord = turn === 0 ? lengthM : (2 * lengthM * Math.sin(turn / 2)) / turn
    x += chord * Math.cos(heading + turn / 2)
    y += chord * Math.sin(heading + turn / 2)
    heading += turn
    turnSumDeg += turnDeg
    return turnDeg === 0
      ? { kind: 'straight', lengthM, ...rest }
      : { kind: 'corner', radiusM: lengthM / Math.abs(turn), arcDeg: Math.abs(turnDeg), ...rest }
  })
  return {
    track: { segments },
    lengthM: segments.reduce((sum, s) => sum + segmentLength(s), 0),
    turnSumDeg,
    gapM: Math.hypot(x, y),
  }
}
