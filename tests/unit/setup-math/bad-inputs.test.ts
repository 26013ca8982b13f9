import fc from '../../support/fast-check'
import { describe, expect, test } from 'vitest'
import * as math from '@/lib/setup-math'
import { benchCar, benchTrack } from '../../support/setup-math-cars'

const { RangeProblem } = math

/** Numbers as bad as they come, and some that are not numbers. */
const nasty = fc.oneof(
  fc.constantFrom<unknown>(
    NaN,
    Infinity,
    -Infinity,
    0,
    -0,
    -1,
    1e308,
    -1e308,
    5e-324,
    1e9,
    undefined,
    null,
    '7',
    '',
    true,
    [],
    {},
  ),
  fc.double(),
  fc.double({ min: -10, max: 10, noNaN: true }),
  fc.integer(),
)

const noNonsense = (value: unknown, path = 'result', depth = 0): void => {
  if (typeof value === 'number') expect(Number.isFinite(value), `${path} is ${value}`).toBe(true)
  else if (Array.isArray(value))
    value.slice(0, 400).forEach((v, i) => noNonsense(v, `${path}[${i}]`, depth + 1))
  else if (typeof value === 'object' && value !== null && depth < 6) {
    for (const [k, v] of Object.entries(value)) noNonsense(v, `${path}.${k}`, depth + 1)
  }
}

/** Runs it: an answer without NaN and infinities, an absence with a reason, or a RangeProblem that names its field. Nothing else. */
function answersOrRefuses(run: () => unknown): void {
  let result: unknown
  try {
    result = run()
  } catch (error) {
    if (!(error instanceof RangeProblem)) throw error
    expect(error.field.length).toBeGreaterThan(0)
    expect(error.range.length).toBeGreaterThan(0)
    expect(error.message).toContain(error.field)
    expect(error.message).toContain(error.range)
    return
  }
  if (math.isAbsent(result)) expect(result.reason.length).toBeGreaterThan(5)
  else noNonsense(result)
}

/** Every function of one object of numbers, with an input that works. */
const functions: Record<string, { run: (x: never) => unknown; good: Record<string, unknown> }> = {
  finalDrive: { run: math.finalDrive, good: { pinion: 31, spur: 72, internalRatio: 2.6 } },
  rollout: { run: math.rollout, good: { tireDiameterMm: 83, finalDrive: 6 } },
  speedAtRpm: { run: math.speedAtRpm, good: { rpm: 3e4, rolloutMm: 43 } },
  centreDistance: { run: math.centreDistance, good: { moduleMm: 0.5, pinion: 31, spur: 72 } },
  copperResistance: { run: math.copperResistance, good: { resistance25Ohm: 0.04, temperatureC: 80 } },
  motorCurve: {
    run: (x: { v: number }) => {
      const { at, ...rest } = math.motorCurve(x as never, x?.v)
      return { ...rest, half: at(rest.stallTorqueNm / 2) }
    },
    good: { kvRpmPerVolt: 2200, resistanceOhm: 0.04, noLoadCurrentA: 2, v: 7.4 },
  },
  rescaleWinding: {
    run: (x: never) => math.rescaleWinding(x, x),
    good: { kvRpmPerVolt: 2200, resistanceOhm: 0.04, noLoadCurrentA: 2, fromTurns: 13.5, toTurns: 17.5 },
  },
  packEnergyWh: { run: math.packEnergyWh, good: { voltageV: 7.4, capacityAh: 6 } },
  resistanceAtTemperature: {
    run: math.resistanceAtTemperature,
    good: { resistanceOhm: 0.01, measuredAtC: 25, temperatureC: 45 },
  },
  usableCharge: {
    run: (x: never) => math.usableCharge({ ...benchCar.pack, ...(x as object) }, x),
    good: { cells: 2, capacityAh: 6, resistanceOhm: 0.008, stateOfCharge: 1, loadA: 60, floorV: 6.4 },
  },
  loadedVoltage: {
    run: (x: { loadA: number }) => math.loadedVoltage({ ...benchCar.pack, ...(x as object) }, x?.loadA),
    good: { cells: 2, resistanceOhm: 0.008, stateOfCharge: 1, loadA: 60 },
  },
  chargeTime: {
    run: (x: never) => math.chargeTime({ ...benchCar.pack, ...(x as object) }, x),
    good: {
      capacityAh: 6,
      resistanceOhm: 0.008,
      fromSoc: 0.2,
      toSoc: 1,
      currentA: 6,
      fullVoltsPerCell: 4.2,
      cutoffA: 0.3,
    },
  },
  motorHeat: {
    run: (x: never) => math.motorHeat(x, x),
    good: {
      windingToCanKPerW: 0.7,
      canToAmbientKPerW: 9,
      windingTimeConstantS: 4,
      canTimeConstantS: 900,
      resistance25Ohm: 0.8,
      copperCoefficient: 0.0039,
      currentA: 11,
      seconds: 30,
      ambientC: 25,
    },
  },
  cornerWeights: { run: math.cornerWeights, good: { lf: 300, rf: 308, lr: 490, rr: 502 } },
  cgHeight: {
    run: math.cgHeight,
    good: {
      wheelbaseM: 0.285,
      raiseM: 0.12,
      wheelRadiusM: 0.0415,
      massKg: 1.6,
      frontLevelKg: 0.608,
      frontRaisedKg: 0.643,
    },
  },
  wheelRate: { run: math.wheelRate, good: { springNPerM: 1000, motionRatio: 0.7 } },
  rideFrequency: {
    run: math.rideFrequency,
    good: { wheelRateNPerM: 1000, tireRateNPerM: 5000, massKg: 0.4 },
  },
  dampingRatio: {
    run: math.dampingRatio,
    good: { damperNsPerM: 20, motionRatio: 0.7, wheelRateNPerM: 1000, massKg: 0.4 },
  },
  weightMargin: { run: math.weightMargin, good: { massKg: 1.6, minimumKg: 1.5, scaleToleranceKg: 0.002 } },
  paceFor: { run: math.paceFor, good: { raceSeconds: 300, lapSeconds: 22.4 } },
  turboDegrees: {
    run: (x: { heldS: number }) => math.turboDegrees(x as never, x?.heldS),
    good: { degrees: 10, delayS: 0.1, rampDegPerS: 100, heldS: 0.3 },
  },
  boostDegrees: {
    run: (x: { rpm: number }) => math.boostDegrees(x as never, x?.rpm),
    good: { degrees: 10, startRpm: 5000, endRpm: 20000, rpm: 9000 },
  },
  triggerToDuty: {
    run: (x: { trigger: number } & math.TriggerSettings) => math.triggerToDuty(x, x?.trigger),
    good: {
      throttleEndPoint: 1,
      brakeEndPoint: 1,
      expo: 0.2,
      neutralDeadband: 0.03,
      softening: 0.3,
      softeningRange: 0.2,
      dragBrake: 0.1,
      brakeForce: 0.8,
      trigger: 0.5,
    },
  },
  cutoffActs: { run: math.cutoffActs, good: { packVoltageV: 6.2, cells: 2, cutoffVoltsPerCell: 3.2 } },
}

describe.each(Object.entries(functions))('%s', (_name, { run, good }) => {
  test('answers a good question', () => {
    const result = run(good as never)
    expect(math.isAbsent(result)).toBe(false)
    noNonsense(result)
  })

  test('never gives NaN or Infinity, whatever one or two values are', () => {
    const field = fc.constantFrom(...Object.keys(good))
    fc.assert(
      fc.property(field, nasty, field, nasty, fc.boolean(), (a, x, b, y, both) => {
        answersOrRefuses(() => run({ ...good, [a]: x, ...(both && { [b]: y }) } as never))
      }),
      { numRuns: 300 },
    )
  })

  test('refuses what is no object', () => {
    for (const x of [undefined, null, 7, 'x']) answersOrRefuses(() => run(x as never))
  })
})

/** Every path to a number in an object. */
function paths(value: unknown, at: (string | number)[] = []): (string | number)[][] {
  if (typeof value === 'number') return [at]
  if (Array.isArray(value)) return value.slice(0, 3).flatMap((v, i) => paths(v, [...at, i]))
  if (typeof value === 'object' && value !== null)
    return Object.entries(value).flatMap(([k, v]) => paths(v, [...at, k]))
  return []
}
function put<T>(value: T, path: (string | number)[], x: unknown): T {
  const [first, ...rest] = path
  if (first === undefined) return x as T
  if (Array.isArray(value)) return value.map((v, i) => (i === first ? put(v, rest, x) : v)) as T
  return { ...value, [first]: put((value as Record<string, unknown>)[first as string], rest, x) }
}

describe('the simulator', () => {
  const carPaths = paths(benchCar)
  const trackPaths = paths(benchTrack)

  test('any one bad number in a car is answered or refused', () => {
    fc.assert(
      fc.property(fc.constantFrom(...carPaths), nasty, (path, x) => {
        answersOrRefuses(() => math.simulateLap(put(benchCar, path, x), benchTrack))
      }),
      { numRuns: 500 },
    )
  })

  test('any one bad number in a track is answered or refused', () => {
    fc.assert(
      fc.property(fc.constantFrom(...trackPaths), nasty, (path, x) => {
        answersOrRefuses(() => math.simulateLap(benchCar, put(benchTrack, path, x)))
      }),
      { numRuns: 300 },
    )
  })

  test('a car built of numbers from the whole allowed range is answered or refused', () => {
    const wild = fc.array(
      fc.tuple(fc.constantFrom(...carPaths), fc.double({ min: -4, max: 4, noNaN: true })),
      { minLength: 1, maxLength: 6 },
    )
    fc.assert(
      fc.property(wild, (changes) => {
        const car = changes.reduce((c, [path, power]) => put(c, path, 10 ** power), benchCar)
        answersOrRefuses(() => math.simulateStraight(car, { lengthM: 20, entrySpeedMps: 0 }))
      }),
      { numRuns: 300 },
    )
  })

  test('what is wrong is named: field, value and range', () => {
    const said = (run: () => unknown) => {
      try {
        run()
      } catch (error) {
        if (error instanceof RangeProblem) return error.message
      }
      throw new Error('it was taken')
    }
    expect(said(() => math.simulateLap({ ...benchCar, pinion: 0 }, benchTrack))).toBe(
      'pinion is 0; must be a whole number 1 to 1000 teeth',
    )
    expect(
      said(() => math.simulateLap({ ...benchCar, pack: { ...benchCar.pack, stateOfCharge: 3 } }, benchTrack)),
    ).toBe('pack.stateOfCharge is 3; must be 0 to 1')
    expect(
      said(() => math.simulateLap(benchCar, { segments: [{ kind: 'corner', radiusM: -2, arcDeg: 90 }] })),
    ).toMatch(/^track\.segments\[0\]\.radiusM is -2; must be 0.000001 to 100000 m/)
  })

  test('a car that cannot move says why', () => {
    const stuck = math.simulateStraight(
      { ...benchCar, grip: 0.02, rollingCoefficient: 0.05 },
      { lengthM: 5, entrySpeedMps: 0 },
    )
    expect(stuck).toMatchObject({ absent: true, reason: expect.stringMatching(/does not overcome/) })
  })

  test('0 and absence mean the same for the optional group', () => {
    const { accessoryCurrentA: _a, advanceGainPerDegree: _g, controller: _c, ...bare } = benchCar
    const zeros = {
      ...bare,
      accessoryCurrentA: 0,
      advanceGainPerDegree: 0,
      controller: { resistanceOhm: 0, currentLimitA: 0, boost: 0, turbo: 0 } as const,
    }
    const time = (car: math.Car) => {
      const lap = math.simulateLap(car, benchTrack)
      if (math.isAbsent(lap)) throw new Error(lap.reason)
      return lap.timeS
    }
    expect(time(zeros)).toBe(time(bare))
  })
})
