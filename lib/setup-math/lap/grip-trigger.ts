import { checkNumber, checkOptional } from '../check-number'
import { punchLimitedDuty, triggerForDuty } from '../controller/trigger-model'
import { limits } from '../limits'
import { absent, type Maybe } from '../maybe'
import type { Car } from './car'
import { DriveEquations, mode, powers } from './drive-equations'
import { prepareCar } from './prepared-car'

export interface GripTrigger {
  /** Steady duty at which the driven wheels let go, 0..1. */
  duty: number
  /** Trigger position that asks for it; absent when the trigger's end point never gets there. */
  trigger: Maybe<number>
  /** How long the punch limit takes from neutral to that duty, s. */
  punchSeconds: number
}

/**
 * Where the driven wheels let go at a speed: the duty whose wheel force equals the grip (with load transfer), and the trigger position that asks
 * for it through end point, expo, deadband and softening. Spinning wheels throw dirt and shred fingers: try it on the ground, not in the hand.
 * @returns absence when full throttle does not break the grip
 * @throws RangeProblem
 */
export function gripTrigger(car: Car, at: { speedMps: number; grip?: number }): Maybe<GripTrigger> {
  const prepared = prepareCar(car)
  const speed = checkNumber('speedMps', at.speedMps, limits.speed)
  const eq = new DriveEquations(prepared, 3)
  eq.grip = car.grip * checkOptional('grip', at.grip, limits.grip, 1)
  const last = prepared.socTable.length - 2
  const above = prepared.socTable.findIndex((s) => s >= prepared.startSoc)
  eq.setSocIndex(above < 0 ? last : above - 1)
  const { boost } = prepared
  const rpm = (speed * prepared.motorPerSpeed * 30) / Math.PI
  eq.boostRegion = !boost || rpm < boost.startRpm ? 0 : rpm < boost.endRpm ? 1 : 2
  eq.mode = mode.grip
  eq.evaluate(0, Float64Array.of(speed, 0, 0), new Float64Array(3), 0, new Float64Array(powers), 0)
  if (eq.forceGap <= 0) return absent('full throttle does not break the grip at this speed')
  const trigger = car.controller?.trigger ?? {}
  const found = triggerForDuty(trigger, eq.duty)
  const limit = trigger.punchLimitPerS
  // The limit's own checks run here, so that a nonsensical one is refused and not divided by.
  punchLimitedDuty(trigger, 0, 1, 1)
  return {
    duty: eq.duty,
    trigger: found ?? absent('the end point keeps the trigger below that duty'),
    punchSeconds: limit ? eq.duty / limit : 0,
  }
}
