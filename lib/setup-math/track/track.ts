import { checkNumber, checkObject, checkOptional } from '../check-number'
import { limits } from '../limits'
import { RangeProblem } from '../range-problem'

export interface Straight {
  kind: 'straight'
  name?: string
  lengthM: number
  /** Factor on the car's own grip; 1 when absent. */
  grip?: number
  /** Roughness against the track's own; 1 when absent. */
  rough?: number
  /** Height of a jump on it, m; none when absent. */
  jumpM?: number
}

export interface Corner {
  kind: 'corner'
  name?: string
  /** Of the driven line. */
  radiusM: number
  arcDeg: number
  grip?: number
  rough?: number
  /** Speed through it as measured (from a film or a timing loop); takes the place of the grip's own limit. */
  measuredSpeedMps?: number
}

export type Segment = Straight | Corner

/** A closed lap in driving order. */
export interface Track {
  name?: string
  segments: readonly Segment[]
  /** Roughness G_r, m (`roughnessOfClass`); smooth when absent. */
  roughnessM?: number
  /** Share of a jump's height that its landing gives back, 0..1; 0 when absent. */
  jumpReturnedShare?: number
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
  checkOptional('track.roughnessM', track.roughnessM, { min: 0, max: 1e-2, unit: 'm' }, 0)
  checkOptional('track.jumpReturnedShare', track.jumpReturnedShare, limits.share, 0)
  segments.forEach((s: Segment, i) => {
    const at = `track.segments[${i}]`
    checkObject(at, s)
    checkOptional(`${at}.grip`, s.grip, limits.grip, 1)
    checkOptional(`${at}.rough`, s.rough, { min: 0, max: 100 }, 1)
    if (s.kind === 'straight') {
      checkNumber(`${at}.lengthM`, s.lengthM, limits.length)
      checkOptional(`${at}.jumpM`, s.jumpM, { min: 0, max: 3, unit: 'm' }, 0)
      // eslint-disable-next-line @typescript-eslint/no-unnecessary-condition -- tracks come as JSON too
    } else if (s.kind === 'corner') {
      checkNumber(`${at}.radiusM`, s.radiusM, limits.length)
      checkNumber(`${at}.arcDeg`, s.arcDeg, { min: 0, max: 1080, above: true, unit: 'degrees' })
      checkOptional(`${at}.measuredSpeedMps`, s.measuredSpeedMps, limits.openSpeed, 1)
    } else throw new RangeProblem(`${at}.kind`, (s as { kind?: unknown }).kind, 'straight or corner')
  })
  return track
}
