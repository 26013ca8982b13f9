import { describe, expect, test } from 'vitest'
import { ledgerSum, motorCurve, simulateLap, simulateStraight, type Car } from '@/lib/setup-math'
import { there } from '../../support/there'
import { benchCar, benchTrack, rearCar } from '../../support/setup-math-cars'

const bare = (rotorInertiaKgM2: number, more: Partial<Car> = {}): Car => ({
  ...benchCar,
  grip: 0.8,
  rollingCoefficient: 0,
  dragAreaM2: 0,
  accessoryCurrentA: 0,
  // Far stronger than the grip, so that the tire is the limit all the way.
  motor: { kvRpmPerVolt: 4000, resistanceOhm: 0.002, noLoadCurrentA: 0, rotorInertiaKgM2 },
  controller: {},
  pack: { ...benchCar.pack, resistanceOhm: 0 },
  ...more,
})
/** From rest over 0.5 m: 2 x / t². */
const acceleration = (car: Car) =>
  1 / there(simulateStraight(car, { lengthM: 0.5, entrySpeedMps: 0 })).timeS ** 2

describe('what contact force moves', () => {
  test.each([0, 4e-6, 4e-5])('at the grip limit a 4WD car takes 0.8 g with a rotor of %f kg m²', (rotor) => {
    // mu g: 0.8 x 9.80665 = 7.84532, whatever the motor spins.
    expect(acceleration(bare(rotor))).toBeCloseTo(7.84532, 6)
  })

  test('a rear-driven car also pushes its front wheels', () => {
    // mu (1 - f) m g / (m + 2 Jw/r² - mu m h/L), by hand.
    const car: Car = { ...bare(4e-6), driven: '2wd', frontStaticShare: 0.38, wheelInertiaKgM2: 2e-4 }
    const mass = 1.62 + (2 * 2e-4) / 0.0415 ** 2 - (0.8 * 1.62 * 0.052) / 0.282
    expect(acceleration(car)).toBeCloseTo((0.8 * 0.62 * 1.62 * 9.80665) / mass, 6)
  })

  test('where the motor is the limit its rotor counts', () => {
    const weak = (rotor: number): Car => ({
      ...bare(rotor),
      grip: 50,
      motor: { ...bare(rotor).motor, resistanceOhm: 0.3 },
    })
    expect(acceleration(weak(4e-5))).toBeLessThan(0.9 * acceleration(weak(0)))
  })

  test('braking too: the deceleration is that of the contact, whatever the rotor', () => {
    const brakes = (rotor: number) => {
      const lap = there(simulateLap(bare(rotor), benchTrack))
      return there(lap.segments[0]?.brakeAtM ?? { absent: true, reason: 'none' })
    }
    expect(brakes(4e-5)).toBeCloseTo(brakes(0), 6)
  })
})

describe('brake energy', () => {
  const withReturn = (brakeReturnShare: number): Car => ({
    ...benchCar,
    controller: { ...benchCar.controller, brakeReturnShare },
  })

  test('is in the ledger: a share comes back, the rest is heat in copper, controller and can', () => {
    const [none, some] = [0, 0.4].map((phi) =>
      there(simulateLap(withReturn(phi), benchTrack, { trace: false })),
    )
    const kept = (e: typeof none) => (e?.energy.brakeJ ?? 0) + (e?.energy.returnedJ ?? 0)
    expect(none?.energy.returnedJ).toBe(0)
    expect((some?.energy.returnedJ ?? 0) / kept(some)).toBeCloseTo(0.4, 2)
    expect(kept(some) / kept(none)).toBeCloseTo(1, 2)
    expect(some?.chargeAh ?? 1).toBeLessThan(none?.chargeAh ?? 0)
    for (const lap of [none, some]) {
      expect(lap?.energy.brakeWindingJ).toBeGreaterThan(0)
      expect(lap?.energy.brakeCanJ).toBeGreaterThan(0)
      expect(Math.abs(ledgerSum(lap!.energy) / lap!.energy.packJ - 1)).toBeLessThan(1e-3)
    }
  })
})

describe('timing and the no-load loss', () => {
  test('the loss at a speed rises with timing', () => {
    // A long straight at the same wheel speed: the loss torque is read from the ledger, J over turns of the motor.
    const loss = (deg: number) => {
      const car: Car = { ...benchCar, controller: {}, motor: { ...benchCar.motor, extraTimingDeg: deg } }
      const lap = there(simulateStraight(car, { lengthM: 30, entrySpeedMps: 5 }))
      return lap.energy.noLoadLossJ
    }
    expect(loss(10) / loss(0)).toBeCloseTo(1.1, 6)
    expect(motorCurve(benchCar.motor, 7.4).noLoadRpm).toBeGreaterThan(0)
  })
})

describe('the clock of the turbo', () => {
  const spinning = (exitTriggerShare?: number): Car => ({
    ...rearCar,
    grip: 0.5,
    ...(exitTriggerShare !== undefined && { exitTriggerShare }),
    controller: { turbo: { degrees: 10, delayS: 0.2, rampDegPerS: 100 } },
  })
  const firesAt = (car: Car) => there(simulateStraight(car, { lengthM: 20, entrySpeedMps: 0 })).turbo.firesAtS

  test('runs on the trigger while the tires spin', () => {
    // At the grip limit from rest: a full trigger fires it after the delay all the same.
    expect(firesAt(spinning())).toBeCloseTo(0.2, 9)
    expect(firesAt(spinning(0.5))).toBeCloseTo(0.4, 9)
  })

  test('a driver who modulates until the tires hold fires it later or never', () => {
    const never = firesAt(spinning(0))
    expect(typeof never === 'number' ? never : Infinity).toBeGreaterThan(1)
  })
})
