import { drawSeason } from '../referee/draw-car'
import { draws } from '../referee/draws'
import { lossless } from '../referee/lossless'
import { layPath } from '../referee/path'
import { RungeKutta } from '../referee/runge-kutta'
import type { Tire } from '../referee/tire'
import { at, slots, Vehicle, type RefereeCar } from '../referee/vehicle'
import { sources as s, type ReferenceRow } from './reference-row'

/** A passenger car: weight, N, its share in front, wheelbase, m. */
const [weightN, frontShare, wheelbaseM] = [20_105, 0.535, 2.8]
const g = 9.80665
const [speedMps, radiusM, wheelM] = [15, 200, 0.3]

/** A tire whose pair has this stiffness at small slip angles, N/rad of one; far from its limit. */
function tireOf(perRad: number, axleN: number): Tire {
  const [mu, shape] = [3, 1.3]
  const stiffness = Math.tan(Math.PI / (2 * shape))
  const peakAngle = (mu * axleN * shape * stiffness) / (2 * perRad)
  return { mu, loadSensitivity: 0, peakSlip: 0.2, peakAngle, shape, stiffness }
}

/**
 * Understeer of the referee's own equations of motion, rad per g: the steering wheel is held, the car settles in its circle for some seconds, and what it steers
 * beyond wheelbase over radius is read off (constant steering, ISO 4138).
 */
function heldSteering(frontPerRad: number, rearPerRad: number): number {
  const { electrics, driver, chassis } = lossless(drawSeason(draws(3)).car)
  const massKg = weightN / g
  const car: RefereeCar = {
    electrics,
    // Nobody drives: neither steering nor trigger moves.
    driver: { ...driver, steerLagS: 1e12, triggerLagS: 1e12 },
    chassis: {
      ...chassis,
      massKg,
      yawInertiaKgM2: massKg * 1.7,
      wheelbaseM,
      frontShare,
      cgHeightM: 0,
      driven: '2wd',
      tireRadiusM: wheelM,
      front: tireOf(frontPerRad, weightN * frontShare),
      rear: tireOf(rearPerRad, weightN * (1 - frontShare)),
      finalDrive: 1,
      rotorKgM2: 0,
      wheelKgM2: 2,
    },
  }
  const circle = { lengthM: 2 * Math.PI * radiusM, curvature: 1 / radiusM, grip: 1, rough: 0, jumpM: 0 }
  const path = layPath([circle], 0, 0)
  const v = new Vehicle(car, path, new Float64Array(path.curvature.length).fill(speedMps))
  const y = new Float64Array(slots)
  y[at.vx] = speedMps
  y[at.wheel] = speedMps / wheelM
  y[at.yaw] = speedMps / radiusM
  y[at.steer] = wheelbaseM / radiusM
  const scheme = new RungeKutta(slots, (z, out) => v.rates(z, out))
  for (let t = 0; t < 6; t += 0.001) {
    scheme.begin(y)
    scheme.step(y, 0.001)
  }
  const [vx, yaw, steer] = [y[at.vx] ?? 0, y[at.yaw] ?? 0, y[at.steer] ?? 0]
  return (steer - (wheelbaseM * yaw) / vx) / ((vx * yaw) / g)
}

export const understeerRows: ReferenceRow[] = (
  [
    ['first tires, understeers', 0.016, 38_920],
    ['stiffer fronts, oversteers', -0.0097, 47_820],
  ] as const
).map(([what, outside, frontPerRad]) => ({
  what: `referee, passenger car, ${what}: understeer coefficient`,
  unit: 'rad',
  outside,
  source: s.wong,
  tolerance: 'twoDigits',
  model: () => heldSteering(frontPerRad, 38_250),
}))
