import type { BrakingLaw } from './braking'

/** What a segment asks of the car. */
export interface SegmentTask {
  lengthM: number
  /** Friction coefficient here. */
  mu: number
  /** Infinity on a straight. */
  cornerSpeedMps: number
  /** Speed at the end that must not be passed; Infinity when nothing follows. */
  exitSpeedLimitMps: number
  braking: BrakingLaw
}
