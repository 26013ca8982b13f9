import { finalDrive } from '../gearing/final-drive'
import { rankGearPairs, type RankedGearPair } from '../gearing/rank-gear-pairs'
import type { MountSlot } from '../gearing/mount-slot'
import { rollout } from '../gearing/rollout'
import { sameSpeedFinalDrive } from '../gearing/same-speed-final-drive'
import type { Car } from '../lap/car'
import type { DriveSettings } from '../lap/segment-driver'
import { simulateLap } from '../lap/simulate-lap'
import { isAbsent, type Maybe } from '../maybe'
import { restVoltage } from '../pack/rest-voltage'
import type { Track } from '../track/track'

export interface GearChoice {
  pinions: readonly number[]
  spurs: readonly number[]
  moduleMm?: number
  slot?: MountSlot
}

export interface SweptPair extends RankedGearPair {
  rolloutMm: number
  isFitted: boolean
  /** Absent when the car cannot lap on this pair. */
  lap: Maybe<{
    lapS: number
    topSpeedMps: number
    chargeAh: number
    peakMotorRpm: number
    minPackVoltageV: number
  }>
}

/**
 * One lap per pair of the gears at hand, in order of lap time; pairs that the mount does not take are marked, not left out.
 * @throws RangeProblem
 */
export function gearingSweep(
  car: Car,
  track: Track,
  choice: GearChoice,
  settings?: DriveSettings,
): SweptPair[] {
  const target = finalDrive(car)
  return rankGearPairs({ ...choice, internalRatio: car.internalRatio, targetFinalDrive: target, fitted: car })
    .map((pair): SweptPair => {
      const lap = simulateLap({ ...car, pinion: pair.pinion, spur: pair.spur }, track, {
        trace: false,
        ...(settings && { settings }),
      })
      return {
        ...pair,
        rolloutMm: rollout({ tireDiameterMm: car.tireDiameterMm, finalDrive: pair.finalDrive }),
        isFitted: pair.pinion === car.pinion && pair.spur === car.spur,
        lap: isAbsent(lap)
          ? lap
          : {
              lapS: lap.timeS,
              topSpeedMps: lap.topSpeedMps,
              chargeAh: lap.chargeAh,
              peakMotorRpm: lap.peakMotorRpm,
              minPackVoltageV: lap.minPackVoltageV,
            },
      }
    })
    .sort((a, b) => lapOf(a) - lapOf(b))
}

const lapOf = (p: SweptPair): number => (isAbsent(p.lap) ? Number.MAX_VALUE : p.lap.lapS)

/**
 * The pairs that come nearest to the old car's speed after its motor, pack or tires were changed: `before` with its gearing, `after` with the new
 * parts. Ranked by distance to the ratio that keeps the no-load speed.
 * @throws RangeProblem
 */
export function sameSpeedPairs(
  before: Car,
  after: Car,
  choice: GearChoice,
): { targetFinalDrive: number; pairs: RankedGearPair[] } {
  const basis = (car: Car) => ({
    kvRpmPerVolt: car.motor.kvRpmPerVolt,
    voltageV:
      car.pack.cells *
      restVoltage(
        car.pack.restVoltageTable,
        car.pack.stateOfCharge ?? car.pack.restVoltageTable.at(-1)?.[0] ?? 1,
      ),
    tireDiameterMm: car.tireDiameterMm,
  })
  const targetFinalDrive = sameSpeedFinalDrive(finalDrive(before), basis(before), basis(after))
  const pairs = rankGearPairs({
    ...choice,
    internalRatio: after.internalRatio,
    targetFinalDrive,
    fitted: after,
  })
  return { targetFinalDrive, pairs }
}
