import fc from '../../support/fast-check'
import { describe, expect, test } from 'vitest'
import {
  isAbsent,
  ledgerSlots,
  ledgerSum,
  simulateLap,
  simulateRace,
  simulateStraight,
  type Car,
  type Track,
} from '@/lib/setup-math'
import { burckhardtMu, burckhardtPeak, slipAtUse, slipLawOf } from '@/lib/setup-math/losses/slip'
import { anyCar, anyTrack } from '../../support/setup-math-arbitraries'
import { ledgerCars, ledgerTracks } from '../../support/ledger-cars'
import { benchCar, benchTrack, rearCar } from '../../support/setup-math-cars'
import { there } from '../../support/there'

describe('the ledger', () => {
  test.each(Object.keys(ledgerCars).flatMap((c) => Object.keys(ledgerTracks).map((t) => [c, t] as const)))(
    'closes within 0.1%%: %s car on %s',
    (c, t) => {
      const lap = there(simulateLap(ledgerCars[c]!, ledgerTracks[t]!, { trace: false }))
      expect(Math.abs(ledgerSum(lap.energy) / lap.energy.packJ - 1)).toBeLessThan(1e-3)
      for (const name of ledgerSlots)
        if (!name.startsWith('brakeController')) expect(lap.energy[name], name).toBeGreaterThanOrEqual(-1e-9)
    },
  )

  test('closes for any car with any of the losses on any track', () => {
    const losses = fc.record({
      peak: fc.double({ min: 0.05, max: 0.3, noNaN: true }),
      angle: fc.double({ min: 0, max: 16, noNaN: true }),
      driveline: fc.double({ min: 0, max: 0.06, noNaN: true }),
      lift: fc.double({ min: 0, max: 0.03, noNaN: true }),
      per: fc.double({ min: 0, max: 0.008, noNaN: true }),
      form: fc.double({ min: 1, max: 1.3, noNaN: true }),
      diode: fc.double({ min: 0, max: 0.5, noNaN: true }),
      share: fc.double({ min: 0, max: 1, noNaN: true }),
      rough: fc.double({ min: 0, max: 4e-5, noNaN: true }),
      back: fc.double({ min: 0, max: 0.9, noNaN: true }),
    })
    let driven = 0
    fc.assert(
      fc.property(anyCar, anyTrack, losses, (car, track, x) => {
        const lap = simulateLap(
          {
            ...car,
            rollingPerSpeed: x.per,
            tires: { slip: { initial: 0.4 * x.peak, peak: x.peak }, peakAngleDeg: x.angle, rateNPerM: 2500 },
            drivelineTorqueNm: x.driveline,
            liftAreaM2: x.lift,
            motor: {
              ...car.motor,
              formFactor2: x.form,
              inductanceH: 8e-6,
              noLoadSpeedShare: x.share,
              magnetPerKelvin: -0.0011,
            },
            controller: {
              ...car.controller,
              driveFrequencyHz: 16_000,
              freewheelV: x.diode,
              brakeReturnShare: x.back,
            },
            pack: {
              ...car.pack,
              slowSag: [
                { ohm: 0.002, seconds: 20 },
                { ohm: 0.003, seconds: 200 },
              ],
            },
          },
          { ...track, roughnessM: x.rough },
          { trace: false },
        )
        if (isAbsent(lap)) return
        driven++
        const turnedOver = Math.abs(lap.energy.packJ) + lap.energy.brakeJ
        expect(Math.abs(ledgerSum(lap.energy) - lap.energy.packJ)).toBeLessThan(1e-3 * turnedOver + 1e-9)
        expect(Number.isFinite(lap.timeS)).toBe(true)
      }),
      { numRuns: 80 },
    )
    expect(driven).toBeGreaterThan(50)
  })
})

describe('each loss', () => {
  const lapOf = (car: Car, track: Track = benchTrack) => there(simulateLap(car, track, { trace: false }))
  const base = lapOf(benchCar)
  const withTires = (tires: Car['tires']): Car => ({ ...benchCar, ...(tires && { tires }) })

  test.each<[string, keyof typeof base.energy, Car, Track]>([
    ['slip', 'slipJ', withTires({ slip: { initial: 0.06, peak: 0.15 } }), benchTrack],
    ['cornering', 'corneringJ', withTires({ peakAngleDeg: 11 }), benchTrack],
    ['bumps', 'bumpsJ', withTires({ rateNPerM: 2500 }), { ...benchTrack, roughnessM: 1e-5 }],
    ['driveline', 'drivelineJ', { ...benchCar, drivelineTorqueNm: 0.03 }, benchTrack],
    [
      'freewheel',
      'freewheelJ',
      { ...benchCar, controller: { ...benchCar.controller, freewheelV: 0.2 } },
      benchTrack,
    ],
    ['ripple', 'rippleJ', { ...benchCar, motor: { ...benchCar.motor, formFactor2: 1.1 } }, benchTrack],
    [
      'jumps',
      'jumpsJ',
      benchCar,
      { segments: benchTrack.segments.map((s, i) => (i === 4 ? { ...s, jumpM: 0.3 } : s)) } as Track,
    ],
  ])(
    '%s is nothing when absent, costs energy when there, and shows in its own line',
    (_name, line, car, track) => {
      expect(base.energy[line]).toBe(0)
      const lap = lapOf(car, track)
      expect(lap.energy[line]).toBeGreaterThan(0)
      expect(lap.energy.packJ).toBeGreaterThan(base.energy.packJ)
      expect(lap.timeS).toBeGreaterThanOrEqual(base.timeS - 1e-6)
    },
  )

  test('bumps cost pi² G k_t per wheel and meter, a jump its height', () => {
    // 4 pi² 1e-5 m 2500 N/m = 0.98696 N over the lap's length; 1.62 kg g 0.3 m.
    const rough = lapOf(withTires({ rateNPerM: 2500 }), { ...benchTrack, roughnessM: 1e-5 })
    expect(rough.energy.bumpsJ / rough.lengthM).toBeCloseTo(0.98696, 3)
    const jump = lapOf(benchCar, {
      segments: benchTrack.segments.map((s, i) => (i === 4 ? { ...s, jumpM: 0.3 } : s)),
    } as Track)
    expect(jump.energy.jumpsJ).toBeCloseTo(1.62 * 9.80665 * 0.3, 3)
  })

  test('slip at the limit is the peak’s: a launch loses force times speed times peak slip', () => {
    const car: Car = { ...withTires({ slip: { initial: 0.05, peak: 0.15 } }), grip: 0.5, controller: {} }
    const run = there(simulateStraight(car, { lengthM: 2, entrySpeedMps: 0 }))
    expect(run.gripLimitedS).toBeCloseTo(run.timeS, 6)
    const taken = (run.energy.kineticJ + run.energy.dragJ + run.energy.rollingJ) * 0.15
    expect(run.energy.slipJ / taken).toBeCloseTo(1, 6)
  })

  test('downforce raises corner speed and grip, hot magnets the motor’s speed', () => {
    expect(lapOf({ ...benchCar, liftAreaM2: 0.02 }).timeS).toBeLessThan(base.timeS)
    const hot = (magnetPerKelvin: number): Car => ({
      ...benchCar,
      motor: { ...benchCar.motor, magnetPerKelvin, startTemperatureC: 90 },
    })
    expect(lapOf(hot(-0.0011)).topSpeedMps).toBeGreaterThan(lapOf(hot(0)).topSpeedMps)
  })

  test('a pack with slow pairs sags more under way and comes back in a minute', () => {
    const slow: Car = {
      ...benchCar,
      pack: {
        ...benchCar.pack,
        slowSag: [
          { ohm: 0.003, seconds: 20 },
          { ohm: 0.004, seconds: 200 },
        ],
      },
    }
    const [a, b] = [benchCar, slow].map((car) => there(simulateRace(car, benchTrack, { raceSeconds: 180 })))
    expect(b!.minVoltsPerCell).toBeLessThan(a!.minVoltsPerCell - 0.01)
    // A minute later most of it is back, but not all: the long pair takes minutes.
    const gap = a!.endVoltsPerCell - b!.endVoltsPerCell
    expect(gap).toBeGreaterThan(0.005)
    expect(gap).toBeLessThan(a!.minVoltsPerCell - b!.minVoltsPerCell)
  })

  test('a cold pack resists more, and one above 25 °C no less', () => {
    const at = (temperatureC: number) =>
      lapOf({ ...benchCar, pack: { ...benchCar.pack, temperatureC, resistanceReadAtC: 25 } }).energy.packLossJ
    expect(at(5)).toBeGreaterThan(1.4 * at(25))
    expect(at(40)).toBeCloseTo(at(25), 9)
  })

  test('the friction circle leaves more for drive than its chord did, and never more than there is', () => {
    const lap = there(simulateLap(rearCar, benchTrack))
    for (const [i, s] of lap.segments.entries()) {
      const part = benchTrack.segments[i]!
      if (part.kind === 'corner')
        expect(s.peakSpeedMps).toBeLessThanOrEqual(
          Math.sqrt(0.95 * (part.grip ?? 1) * 9.80665 * part.radiusM) * (1 + 1e-6),
        )
    }
  })
})

describe('the slip law', () => {
  // Kiencke and Nielsen's sets for Burckhardt's curve, from memory.
  test.each([
    ['dry asphalt', 1.2801, 23.99, 0.52],
    ['wet asphalt', 0.857, 33.822, 0.347],
    ['snow', 0.1946, 94.129, 0.0646],
  ])('lies within 0.039 of slip of Burckhardt’s curve below 95%% of its peak: %s', (_name, c1, c2, c3) => {
    const curve = { c1, c2, c3 }
    const { slip: peak, mu } = burckhardtPeak(curve)
    const law = slipLawOf(curve)
    for (let s = 0.001; s < peak; s += 0.001) {
      const use = burckhardtMu(curve, s) / mu
      if (use < 0.95) expect(Math.abs(slipAtUse(law, use) - s)).toBeLessThan(0.039)
    }
    expect(slipAtUse(law, 1)).toBeCloseTo(peak, 9)
  })
})
