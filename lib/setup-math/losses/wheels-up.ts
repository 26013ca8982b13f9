import { checkNumber, checkObject } from '../check-number'
import { limits } from '../limits'
import { absent, type Maybe } from '../maybe'
import { torqueConstant } from '../motor/torque-constant'
import { ironFactor } from './iron'

/** Full throttle with the wheels in the air, steady for a second or two, and the motor that ran. */
export interface WheelsUpReading {
  currentA: number
  /** Of the motor. */
  rpm: number
  /** Spur over pinion times internal ratio, as it was geared then. */
  finalDrive: number
  /** At the timing of the reading. */
  kvRpmPerVolt: number
  /** The motor's alone, at `noLoadRpm` and at the timing of the reading, A. */
  noLoadCurrentA: number
  noLoadRpm: number
  /** Share of the no-load loss that goes with speed, 0..1. */
  noLoadSpeedShare: number
}

/**
 * What the driveline takes of its own, Nm at the wheels: nothing else holds back wheels in the air, so the current beyond the motor's own turns gears, belts
 * and bearings: Kt (I - I0 at that speed) times the final drive. Spinning wheels grow and throw what is on them: car on a stand, hands and hair away, and only
 * as long as the makers allow.
 * @returns absence where the reading is below the motor's own: then one of the two is off
 * @throws RangeProblem
 */
export function wheelsUpTorque(reading: WheelsUpReading): Maybe<number> {
  checkObject('reading', reading)
  const kt = torqueConstant(checkNumber('kvRpmPerVolt', reading.kvRpmPerVolt, limits.kv))
  const amps = checkNumber('currentA', reading.currentA, limits.current)
  const rpm = checkNumber('rpm', reading.rpm, { ...limits.rpm, above: true })
  const readAt = checkNumber('noLoadRpm', reading.noLoadRpm, { ...limits.rpm, above: true })
  const share = checkNumber('noLoadSpeedShare', reading.noLoadSpeedShare, limits.share)
  const own = checkNumber('noLoadCurrentA', reading.noLoadCurrentA, limits.current)
  const beyond = amps - own * ironFactor(share, rpm / readAt, 1)
  if (beyond < 0) return absent('wheels up the motor draws less than alone: one of the two readings is off')
  return kt * beyond * checkNumber('finalDrive', reading.finalDrive, limits.ratio)
}
