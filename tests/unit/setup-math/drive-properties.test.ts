import fc from '../../support/fast-check'
import { describe, expect, test } from 'vitest'
import {
  isAbsent,
  simulateLap,
  simulateRace,
  simulateStraight,
  type Car,
  type EnergyLedger,
  type Track,
} from '@/lib/setup-math'
import { DormandPrince } from '@/lib/setup-math/lap/dormand-prince'
import { DriveEquations } from '@/lib/setup-math/lap/drive-equations'
import { prepareCar } from '@/lib/setup-math/lap/prepared-car'
import { anyCar, anyTrack } from '../../support/setup-math-arbitraries'
import { benchCar, benchTrack } from '../../support/setup-math-cars'

const spent = (e: EnergyLedger): number =>
  e.packLossJ +
  e.accessoryJ +
  e.controllerLossJ +
  e.windingLossJ +
  e.noLoadLossJ +
  e.driveLossJ +
  e.dragJ +
  e.rollingJ +
  e.brakeWindingJ +
  e.brakeControllerJ +
  e.brakeCanJ +
  e.kineticJ

const finite = (value: unknown, path = ''): void => {
  if (typeof value === 'number') expect(Number.isFinite(value), `${path} is ${value}`).toBe(true)
  else if (ArrayBuffer.isView(value) || Array.isArray(value))
    Array.from(value as ArrayLike<unknown>).forEach((v, i) => finite(v, `${path}[${i}]`))
  else if (typeof value === 'object' && value !== null)
    for (const [k, v] of Object.entries(value)) finite(v, `${path}.${k}`)
}

describe('energy', () => {
  test('a lap’s pack energy is where the losses say, within 0.1%', () => {
    let driven = 0
    fc.assert(
      fc.property(anyCar, anyTrack, (car, track) => {
        const lap = simulateLap(car, track, { trace: false })
        if (isAbsent(lap)) return
        driven++
        expect(Math.abs(spent(lap.energy) - lap.energy.packJ)).toBeLessThanOrEqual(
          1e-3 * Math.abs(lap.energy.packJ) + 1e-9,
        )
      }),
      { numRuns: 150 },
    )
    expect(driven).toBeGreaterThan(120)
  })

  test('rolling and drag agree with their own integrals along the trace', () => {
    const lap = simulateLap(benchCar, benchTrack, { settings: { tolerance: 1e-9, maxStepS: 0.01 } })
    if (isAbsent(lap)) throw new Error(lap.reason)
    let drag = 0
    lap.trace.slice(1).forEach((p, i) => {
      const q = lap.trace[i]!
      drag += ((p.speedMps ** 2 + q.speedMps ** 2) / 2) * (p.distanceM - q.distanceM)
    })
    expect(lap.energy.dragJ).toBeCloseTo(0.5 * 1.19 * 0.02 * drag, 1)
    expect(lap.energy.rollingJ).toBeCloseTo(0.04 * 1.62 * 9.80665 * lap.lengthM, 6)
  })

  test('a straight’s kinetic energy is that of all that turns', () => {
    const run = simulateStraight(benchCar, { lengthM: 20, entrySpeedMps: 3 })
    if (isAbsent(run)) throw new Error(run.reason)
    const ratio = (78 / 28) * 2.6
    const inertia = 1.62 + (4e-6 * ratio ** 2 + 4 * 6e-5) / 0.0415 ** 2
    expect(run.energy.kineticJ).toBeCloseTo((inertia * (run.exitSpeedMps ** 2 - 9)) / 2, 9)
    expect(spent(run.energy)).toBeCloseTo(run.energy.packJ, 6)
  })
})

describe('the step does not matter', () => {
  test('lap time is the same at coarse and fine steps', () => {
    fc.assert(
      fc.property(anyCar, anyTrack, (car, track) => {
        const fine = simulateLap(car, track, { trace: false, settings: { tolerance: 1e-11, maxStepS: 0.01 } })
        const coarse = simulateLap(car, track, { trace: false })
        expect(isAbsent(coarse)).toBe(isAbsent(fine))
        if (isAbsent(fine) || isAbsent(coarse)) return
        expect(Math.abs(coarse.timeS - fine.timeS)).toBeLessThan(1e-6 * fine.timeS)
      }),
      { numRuns: 60 },
    )
  })

  test('where the grip’s force and the current limit’s are one to rounding, the lap goes on', () => {
    const car: Car = {
      ...benchCar,
      massKg: 3,
      driven: '2wd',
      frontStaticShare: 0.3,
      cgHeightM: 0.04049192434,
      grip: 1.6,
      rollingCoefficient: 0,
      dragAreaM2: 0.04,
      pinion: 19,
      spur: 73,
      driveEfficiency: 0.9428125235,
      wheelInertiaKgM2: 0,
      motor: { kvRpmPerVolt: 5000, resistanceOhm: 0.01, noLoadCurrentA: 0, rotorInertiaKgM2: 0 },
      controller: { resistanceOhm: 0.001, currentLimitA: 120 },
      pack: { ...benchCar.pack, resistanceOhm: 0 },
      accessoryCurrentA: 3,
    }
    const track: Track = {
      segments: [
        { kind: 'straight', lengthM: 2, grip: 1.042036614 },
        { kind: 'straight', lengthM: 2, grip: 0.8288928276 },
        { kind: 'straight', lengthM: 9.810810647, grip: 1.192789429 },
        { kind: 'corner', radiusM: 3.401184983, arcDeg: 32.86496104, grip: 0.8876583123 },
        { kind: 'corner', radiusM: 10, arcDeg: 31.67287186, grip: 0.7 },
      ],
    }
    const lap = (settings: { tolerance: number; maxStepS: number }) => {
      const driven = simulateLap(car, track, { trace: false, settings })
      return isAbsent(driven) ? driven.reason : driven.timeS
    }
    expect(lap({ tolerance: 1e-9, maxStepS: 0.5 })).toBeCloseTo(
      Number(lap({ tolerance: 1e-11, maxStepS: 0.01 })),
      6,
    )
  })

  test('between its ends a step’s polynomial lies off by the fifth power of its length, and meets both', () => {
    const eq = new DriveEquations(prepareCar(benchCar), 5)
    const rk = new DormandPrince(eq)
    const off = (h: number, share: number) => {
      rk.y0.set([8, 0, 0, 40, 30])
      eq.setSocIndex(12)
      rk.begin()
      rk.attempt(h, 1e-9, 1e-9)
      rk.keep(h)
      rk.look(share * h, h)
      const looked = rk.y1.slice()
      rk.attempt(share * h, 1e-9, 1e-9)
      return Math.max(...looked.slice(0, 3).map((x, i) => Math.abs(x - (rk.y1[i] ?? Number.NaN))))
    }
    for (const share of [0.3, 0.5, 0.8]) {
      const order = Math.log2(off(0.1, share) / off(0.05, share))
      expect(order).toBeGreaterThan(4.5)
      expect(order).toBeLessThan(5.5)
    }
    expect(off(0.2, 1)).toBeLessThan(1e-12)
  })

  test('a straight in two pieces takes as long as in one, without turbo’s clock', () => {
    const car: Car = {
      ...benchCar,
      controller: { ...benchCar.controller, turbo: 0 },
      motor: { ...benchCar.motor, thermal: undefined },
    }
    const whole = simulateLap(car, {
      segments: [
        { kind: 'straight', lengthM: 30 },
        { kind: 'corner', radiusM: 3, arcDeg: 180 },
      ],
    })
    const parts = simulateLap(car, {
      segments: [
        { kind: 'straight', lengthM: 11.3 },
        { kind: 'straight', lengthM: 18.7 },
        { kind: 'corner', radiusM: 3, arcDeg: 180 },
      ],
    })
    if (isAbsent(whole) || isAbsent(parts)) throw new Error('both drive')
    expect(parts.timeS).toBeCloseTo(whole.timeS, 7)
  })

  test('turbo’s clock runs on from one straight into the next', () => {
    const split: Track = {
      segments: [
        { kind: 'straight', lengthM: 20 },
        { kind: 'straight', lengthM: 14 },
        ...benchTrack.segments.slice(1),
      ],
    }
    const [a, b] = [simulateLap(benchCar, benchTrack), simulateLap(benchCar, split)]
    if (isAbsent(a) || isAbsent(b)) throw new Error('both drive')
    expect(b.timeS).toBeCloseTo(a.timeS, 7)
  })
})

describe('laws', () => {
  test('a higher final drive ratio never raises top speed on an endless straight', () => {
    fc.assert(
      fc.property(anyCar, fc.integer({ min: 1, max: 8 }), (car, more) => {
        // With drag and rolling some gearings are too tall for the motor: the law is the drag-free one, on the motor's own line.
        const free = {
          ...car,
          dragAreaM2: 0,
          rollingCoefficient: 0,
          grip: 5,
          motor: { ...car.motor, noLoadCurrentA: 0, thermal: undefined },
          pack: { ...car.pack, capacityAh: 1e6 },
        }
        const top = (c: Car) => {
          const run = simulateStraight(c, { lengthM: 2000, entrySpeedMps: 0 })
          if (isAbsent(run)) throw new Error(run.reason)
          return run.exitSpeedMps
        }
        expect(top({ ...free, spur: free.spur + more })).toBeLessThanOrEqual(top(free) * (1 + 1e-6))
      }),
      { numRuns: 25 },
    )
  })

  test('more grip is never slower, more drag never faster, more mass never faster off a motor-limited start', () => {
    fc.assert(
      fc.property(anyCar, anyTrack, (car, track) => {
        const time = (c: Car) => {
          const lap = simulateLap(c, track, { trace: false })
          return isAbsent(lap) ? undefined : lap.timeS
        }
        // Turbo's delay starts where grip hands over: with it a little more grip can cost a firing. That is the point of it, and no law.
        const steady: Car = { ...car, controller: { ...car.controller, turbo: 0 } }
        const base = time(steady)
        if (base === undefined) return
        const slack = 1 + 1e-7
        expect(time({ ...steady, grip: steady.grip * 1.05 }) ?? 0).toBeLessThanOrEqual(base * slack)
        const draggy = time({ ...steady, dragAreaM2: (steady.dragAreaM2 ?? 0) + 0.005 })
        const run = (c: Car) => {
          const r = simulateStraight({ ...c, grip: 50 }, { lengthM: 20, entrySpeedMps: 0 })
          return isAbsent(r) ? Infinity : r.timeS
        }
        expect(run({ ...steady, dragAreaM2: (steady.dragAreaM2 ?? 0) + 0.005 })).toBeGreaterThanOrEqual(
          run(steady) / slack,
        )
        expect(run({ ...steady, massKg: steady.massKg * 1.05 })).toBeGreaterThanOrEqual(run(steady) / slack)
        expect(draggy === undefined || Number.isFinite(draggy)).toBe(true)
      }),
      { numRuns: 60 },
    )
  })

  test('speed never passes a corner’s limit, and a lap closes', () => {
    fc.assert(
      fc.property(anyCar, anyTrack, (car, track) => {
        const lap = simulateLap(car, track)
        if (isAbsent(lap)) return
        lap.segments.forEach((s, i) => {
          const part = track.segments[i]!
          if (part.kind === 'corner') {
            expect(s.peakSpeedMps).toBeLessThanOrEqual(
              Math.sqrt(car.grip * (part.grip ?? 1) * 9.80665 * part.radiusM) * (1 + 1e-6),
            )
          }
          expect(s.entrySpeedMps).toBeCloseTo(i ? lap.segments[i - 1]!.exitSpeedMps : lap.entrySpeedMps, 9)
        })
        expect(lap.segments.at(-1)!.exitSpeedMps).toBeCloseTo(lap.entrySpeedMps, 6)
        lap.trace.slice(1).forEach((p, i) => {
          expect(p.distanceM).toBeGreaterThanOrEqual(lap.trace[i]!.distanceM - 1e-9)
          expect(p.timeS).toBeGreaterThanOrEqual(lap.trace[i]!.timeS - 1e-9)
        })
        finite(lap)
      }),
      { numRuns: 60 },
    )
  })
})

describe('dimensions', () => {
  /**
   * The same car in a world where lengths are l times as long, masses m times as heavy, currents c times as large, and times sqrt(l) times as long (so
   * that g stays): every answer must change by its own dimension. A formula with a term of the wrong dimension cannot pass.
   */
  test('answers scale by their dimensions', () => {
    const scale = fc.double({ min: 0.8, max: 1.25, noNaN: true })
    fc.assert(
      fc.property(anyCar, anyTrack, scale, scale, scale, (car, track, l, m, c) => {
        const t = Math.sqrt(l)
        const volts = (m * l ** 2) / (t ** 3 * c)
        const ohms = volts / c
        const big: Car = {
          ...car,
          massKg: car.massKg * m,
          wheelbaseM: car.wheelbaseM * l,
          cgHeightM: car.cgHeightM * l,
          tireDiameterMm: car.tireDiameterMm * l,
          dragAreaM2: (car.dragAreaM2 ?? 0) * l ** 2,
          airDensityKgM3: (car.airDensityKgM3 ?? 0) * (m / l ** 3),
          wheelInertiaKgM2: (car.wheelInertiaKgM2 ?? 0) * m * l ** 2,
          motor: {
            kvRpmPerVolt: car.motor.kvRpmPerVolt / t / volts,
            resistanceOhm: car.motor.resistanceOhm * ohms,
            noLoadCurrentA: car.motor.noLoadCurrentA * c,
            rotorInertiaKgM2: (car.motor.rotorInertiaKgM2 ?? 0) * m * l ** 2,
          },
          controller: {
            resistanceOhm: 0.001 * ohms,
            currentLimitA: (car.controller?.currentLimitA ?? 0) * c,
            boost: car.controller?.boost && {
              degrees: car.controller.boost.degrees,
              startRpm: car.controller.boost.startRpm / t,
              endRpm: car.controller.boost.endRpm / t,
            },
            turbo: car.controller?.turbo && {
              degrees: car.controller.turbo.degrees,
              delayS: car.controller.turbo.delayS * t,
              rampDegPerS: car.controller.turbo.rampDegPerS / t,
            },
          },
          pack: {
            ...car.pack,
            capacityAh: car.pack.capacityAh * c * t,
            resistanceOhm: car.pack.resistanceOhm * ohms,
            restVoltageTable: car.pack.restVoltageTable.map(([s, v]) => [s, v * volts] as const),
          },
          accessoryCurrentA: (car.accessoryCurrentA ?? 0) * c,
        }
        const cold: Car = { ...car, motor: { ...car.motor, thermal: undefined } }
        const bigTrack: Track = {
          segments: track.segments.map((s) =>
            s.kind === 'straight' ? { ...s, lengthM: s.lengthM * l } : { ...s, radiusM: s.radiusM * l },
          ),
        }
        const [a, b] = [simulateLap(cold, track), simulateLap(big, bigTrack)]
        expect(isAbsent(b)).toBe(isAbsent(a))
        if (isAbsent(a) || isAbsent(b)) return
        // A car without losses takes next to nothing from its pack: what it turns over, not the difference left, says how exact that is.
        const turnedOverJ = b.energy.brakeJ + (big.massKg * b.topSpeedMps ** 2) / 2
        const close = (x: number, y: number, of = y) =>
          expect(Math.abs(x - y)).toBeLessThan(1e-4 * Math.abs(y) + 1e-7 * Math.abs(of))
        close(b.timeS, a.timeS * t)
        close(b.topSpeedMps, (a.topSpeedMps * l) / t)
        close(b.chargeAh, a.chargeAh * c * t, turnedOverJ / b.minPackVoltageV / 3600)
        close(b.energy.packJ, (a.energy.packJ * m * l ** 2) / t ** 2, turnedOverJ)
        close(b.minPackVoltageV, a.minPackVoltageV * volts)
      }),
      { numRuns: 60 },
    )
  })
})

describe('a race', () => {
  test('ends on the lap under way when time runs out, and its books balance', () => {
    const race = simulateRace(benchCar, benchTrack, { raceSeconds: 300 })
    if (isAbsent(race)) throw new Error(race.reason)
    expect(race.finishSeconds).toBeGreaterThanOrEqual(300)
    expect(race.finishSeconds - race.lapSeconds.at(-1)!).toBeLessThan(300)
    expect(race.lapSeconds).toHaveLength(race.laps)
    expect(race.lapSeconds[0]!).toBeGreaterThan(race.lapSeconds[1]!)
    expect(race.chargeUsedAh + race.chargeLeftAh).toBeCloseTo(6, 9)
    expect(race.canC).toBeGreaterThan(25)
    expect(isAbsent(race.stopped)).toBe(true)
  })

  test('the cutoff ends it where the voltage under load first falls to it', () => {
    const weak: Car = {
      ...benchCar,
      pack: { ...benchCar.pack, stateOfCharge: 0.13 },
      controller: { ...benchCar.controller, cutoffVoltsPerCell: 3.4 },
    }
    const race = simulateRace(weak, benchTrack, { raceSeconds: 300 })
    if (isAbsent(race) || isAbsent(race.withCutoff)) throw new Error('the race runs')
    if (isAbsent(race.withCutoff.stopped)) throw new Error('the cutoff acts')
    const { atS, onLap } = race.withCutoff.stopped
    expect(race.withCutoff.laps).toBe(onLap - 1)
    const before = race.lapSeconds.slice(0, onLap - 1).reduce((a, b) => a + b, 0)
    expect(atS).toBeGreaterThanOrEqual(before)
    expect(race.withCutoff.laps).toBeLessThan(race.laps)
    expect(race.minVoltsPerCell).toBeLessThan(3.4)
    // With the cutoff off the same car goes on until the pack has nothing left.
    expect(race.laps).toBeGreaterThan(race.withCutoff.laps)
  })

  test('an empty pack stops the car and says so', () => {
    const race = simulateRace({ ...benchCar, pack: { ...benchCar.pack, capacityAh: 0.3 } }, benchTrack, {
      raceSeconds: 300,
    })
    if (isAbsent(race) || isAbsent(race.stopped)) throw new Error('it starts, and stops')
    expect(race.stopped.reason).toMatch(/empty/)
    expect(race.laps).toBeLessThan(10)
    finite(race)
  })
})
