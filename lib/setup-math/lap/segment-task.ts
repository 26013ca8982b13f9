import type { BrakingCurve } from './braking-curve'

/** What a segment asks of the car. */
export interface SegmentTask {
  lengthM: number
  /** Friction coefficient here. */
  mu: number
  /** Infinity on a straight. */
  cornerSpeedMps: number
  /** Of the driven line, Infinity on a straight. */
  radiusM: number
  /** Share of the friction circle that holding the corner's own speed takes: what is left at the limit is just the resistance. 0 on a straight. */
  holdShare: number
  /** Forces of this ground on the whole car, N: rough ground and a jump's climb. */
  bumpsN: number
  jumpN: number
  /** Speed at the end that must not be passed; Infinity when nothing follows. */
  exitSpeedLimitMps: number
  /** Speed² over the way left to the end, from which the brakes just reach the limit. */
  braking: BrakingCurve
}
