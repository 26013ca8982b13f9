import { checkNumber, checkObject, checkOptional } from '../check-number'
import { limits } from '../limits'
import { RangeProblem } from '../range-problem'

export interface Straight {
  kind: 'straight'
  name?: string
  lengthM: number
  /** Factor on the car's own grip; 1 when absent. */
  grip?: number
}

export interface Corner {
  kind: 'corner'
  name?: string
  /** Of the driven line. */
  radiusM: number
  arcDeg: number
  grip?: number
  /** Speed through it as measured (from a film or a timing loop); takes the place of the grip's own limit. */
  measuredSpeedMps?: number
}

export type Segment = Straight | Corner

/** A closed lap in driving order. */
export interface Track {
  name?: string
  segments: readonly Segment[]
}

/** Length along the driven line, m. */
export const segmentLength = (s: Segment): number =>
  s.kind === 'straight' ? s.lengthM : s.radiusM * ((s.arcDeg * Math.PI) / 180)

export const trackLength = (track: Track): number =>
  checkTrack(track).segments.reduce((sum, s) => sum + segmentLength(s), 0)

/** @throws RangeProblem naming the first field at fault */
export function checkTrack(track: Track): Track {
  checkObject('track', track)
  const { segments } = track
  if (!Array.isArray(segments) || segments.length === 0 || segments.length > 500) {
    throw new RangeProblem(
      'track.segments',
      Array.isArray(segments) ? segments.length : segments,
      '1 to 500 segments',
    )
  }
  segments.forEach((s: Segment, i) => {
    const at = `track.segments[${i}]`
    checkObject(at, s)
    checkOptional(`${at}.grip`, s.grip, limits.grip, 1)
    if (s.kind === 'straight') checkNumber(`${at}.lengthM`, s.lengthM, limits.length)
    else if (s.kind === 'corner') {
      checkNumber(`${at}.radiusM`, s.radiusM, limits.length)
      checkNumber(`${at}.arcDeg`, s.arcDeg, { min: 0, max: 1080, above: true, unit: 'degrees' })
      checkOptional(`${at}.measuredSpeedMps`, s.measuredSpeedMps, limits.openSpeed, 1)
    } else throw new RangeProblem(`${at}.kind`, (s as { kind?: unknown }).kind, 'straight or corner')
  })
  return track
}
