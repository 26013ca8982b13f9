import { checkNumber, checkObject, checkOptional } from '../check-number'
import { limits } from '../limits'
import { isAbsent, type Maybe } from '../maybe'
import type { Car } from './car'
import type { SegmentRun, TracePoint } from './drive-result'
import { readLedger, type EnergyLedger } from './ledger'
import { prepareCar } from './prepared-car'
import { startState } from './run-state'
import { SegmentDriver, usualDriveSettings, type DriveSettings } from './segment-driver'

export interface StraightRun extends SegmentRun {
  trace: TracePoint[]
  energy: EnergyLedger
}

/**
 * Full throttle along a straight from a speed, nothing braking at its end. `grip` is the surface's factor on the car's own grip.
 * @returns absence when the car cannot move or the pack runs empty on the way
 * @throws RangeProblem
 * @example simulateStraight(car, { lengthM: 10, entrySpeedMps: 0, grip: 1 }) // { timeS, exitSpeedMps, trace, ... }
 */
export function simulateStraight(
  car: Car,
  straight: { lengthM: number; entrySpeedMps: number; grip?: number },
  settings: DriveSettings = usualDriveSettings,
): Maybe<StraightRun> {
  checkObject('straight', straight)
  const lengthM = checkNumber('lengthM', straight.lengthM, limits.length)
  const entry = checkNumber('entrySpeedMps', straight.entrySpeedMps, limits.speed)
  const mu = car.grip * checkOptional('grip', straight.grip, limits.grip, 1)
  const prepared = prepareCar(car)
  const trace: TracePoint[] = []
  const state = startState(prepared, entry)
  const run = new SegmentDriver(prepared, settings).drive(
    {
      lengthM,
      mu,
      cornerSpeedMps: Infinity,
      radiusM: Infinity,
      holdShare: 0,
      bumpsN: 0,
      jumpN: 0,
      exitSpeedLimitMps: Infinity,
      braking: { speed2: () => Infinity, seconds: () => 0 },
    },
    state,
    { points: trace, timeS: 0, fromM: 0 },
  )
  if (isAbsent(run)) return run
  const kinetic = (prepared.inertiaKg * (run.exitSpeedMps ** 2 - entry ** 2)) / 2
  return { ...run, trace, energy: readLedger(state.sums, kinetic, state.returnedJ) }
}
