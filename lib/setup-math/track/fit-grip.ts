import { checkNumber } from '../check-number'
import type { Car } from '../lap/car'
import { simulateLap } from '../lap/simulate-lap'
import { absent, isAbsent, type Maybe } from '../maybe'
import { checkTrack, type Track } from './track'

export interface GripFit {
  /** The car's grip that makes the simulated lap equal the measured one. */
  grip: number
  lapSeconds: number
}

const span = { min: 0.05, max: 5 }

/**
 * Fits the car's grip so that the simulated flying lap equals a measured lap; the surfaces' factors keep their ratios. The fit also
 * swallows what the model leaves out (bumps, jumps, traffic, the driver), so it is the grip *used*, not the surface's.
 * @returns absence when no grip from 0.05 to 5 gives the lap: then a length, a radius or a measured corner speed is off
 * @throws RangeProblem
 */
export function fitGrip(car: Car, track: Track, measuredLapSeconds: number): Maybe<GripFit> {
  const wanted = checkNumber('measuredLapSeconds', measuredLapSeconds, { min: 1, max: 3600, unit: 's' })
  checkTrack(track)
  // In the logarithm of the grip the lap time is close to a straight line.
  const off = (logGrip: number): Maybe<number> => {
    const lap = simulateLap({ ...car, grip: Math.exp(logGrip) }, track, { trace: false })
    return isAbsent(lap) ? lap : lap.timeS - wanted
  }
  let lo = Math.log(span.min)
  let hi = Math.log(span.max)
  const fast = off(hi)
  if (isAbsent(fast)) return fast
  if (fast > 0)
    return absent(
      `even grip ${span.max} gives ${(fast + wanted).toFixed(2)} s: the track is drawn too long or the motor too weak`,
    )
  // A grip below the rolling resistance leaves the car standing: that side counts as slow.
  const slow = off(lo)
  if (!isAbsent(slow) && slow < 0)
    return absent(`even grip ${span.min} gives ${(slow + wanted).toFixed(2)} s: the track is drawn too short`)
  let fHi = fast
  let fLo: number | undefined = isAbsent(slow) ? undefined : slow
  let side = 0
  for (let i = 0; i < 80; i++) {
    const x = fLo === undefined || i % 8 === 7 ? (lo + hi) / 2 : (lo * fHi - hi * fLo) / (fHi - fLo)
    const f = off(x)
    if (!isAbsent(f) && (Math.abs(f) < 1e-9 || hi - lo < 1e-13))
      return { grip: Math.exp(x), lapSeconds: f + wanted }
    if (isAbsent(f) || f > 0) {
      lo = x
      fLo = isAbsent(f) ? undefined : f
      if (side === 1) fHi /= 2
      side = 1
    } else {
      hi = x
      fHi = f
      if (side === -1 && fLo !== undefined) fLo /= 2
      side = -1
    }
  }
  return absent('the fit did not settle')
}
