import fc from './fast-check'
import type { Car, Segment, Track } from '@/lib/setup-math'
import { benchCar } from './setup-math-cars'

// A counterexample has some 60 numbers and each try drives laps: shrinking one takes minutes. The printed seed and path replay it.
fc.configureGlobal({ endOnFailure: true })

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true, noDefaultInfinity: true })

/** Cars that can drive: wide of common practice on every side, with and without each optional part. */
export const anyCar: fc.Arbitrary<Car> = fc
  .record({
    massKg: between(1.2, 3),
    driven: fc.constantFrom('2wd' as const, '4wd' as const),
    frontStaticShare: between(0.3, 0.55),
    cgHeightM: between(0.03, 0.09),
    grip: between(0.45, 1.6),
    rollingCoefficient: between(0, 0.07),
    dragAreaM2: between(0, 0.04),
    pinion: fc.integer({ min: 18, max: 34 }),
    spur: fc.integer({ min: 66, max: 87 }),
    driveEfficiency: between(0.75, 1),
    wheelInertiaKgM2: between(0, 2e-4),
    rotor: between(0, 1e-5),
    kv: between(1600, 5000),
    ohm: between(0.01, 0.08),
    idle: between(0, 5),
    limitA: fc.constantFrom(0, 25, 60, 120),
    boost: fc.option(
      fc.record({ degrees: between(0, 30), startRpm: between(2000, 9000), endRpm: between(12_000, 25_000) }),
    ),
    turbo: fc.option(
      fc.record({ degrees: between(0, 25), delayS: between(0, 0.4), rampDegPerS: between(20, 400) }),
    ),
    packOhm: between(0, 0.02),
    soc: between(0.3, 1),
    accessory: between(0, 3),
    hot: fc.boolean(),
  })
  .map((x) => ({
    ...benchCar,
    massKg: x.massKg,
    driven: x.driven,
    frontStaticShare: x.frontStaticShare,
    cgHeightM: x.cgHeightM,
    grip: x.grip,
    rollingCoefficient: x.rollingCoefficient,
    dragAreaM2: x.dragAreaM2,
    pinion: x.pinion,
    spur: x.spur,
    driveEfficiency: x.driveEfficiency,
    wheelInertiaKgM2: x.wheelInertiaKgM2,
    motor: {
      kvRpmPerVolt: x.kv,
      resistanceOhm: x.ohm,
      noLoadCurrentA: x.idle,
      rotorInertiaKgM2: x.rotor,
      ...(x.hot && { thermal: benchCar.motor.thermal }),
    },
    controller: { resistanceOhm: 0.001, currentLimitA: x.limitA, boost: x.boost, turbo: x.turbo },
    pack: { ...benchCar.pack, resistanceOhm: x.packOhm, stateOfCharge: x.soc },
    accessoryCurrentA: x.accessory,
  }))

const straight = fc.record({
  kind: fc.constant('straight' as const),
  lengthM: between(2, 45),
  grip: between(0.7, 1.2),
})
const corner = fc.record({
  kind: fc.constant('corner' as const),
  radiusM: between(1, 10),
  arcDeg: between(20, 240),
  grip: between(0.7, 1.2),
})

/** Tracks in any order of segments, two corners in a row and two straights in a row included; never without a corner. */
export const anyTrack: fc.Arbitrary<Track> = fc
  .tuple(
    fc.array(fc.oneof<fc.Arbitrary<Segment>[]>(straight, corner), { minLength: 1, maxLength: 9 }),
    corner,
  )
  .map(([segments, last]) => ({ segments: [...segments, last] }))
