import fc from '../../support/fast-check'
import * as stats from 'simple-statistics'
import { describe, expect, test } from 'vitest'
import { isAbsent, lapStatistics, simulateLap, tireWear } from '@/lib/setup-math'
import { normal } from '@/lib/setup-math/pace/race-projection'
import { odexLap } from '../../support/odex-lap'
import { anyCar, anyTrack } from '../../support/setup-math-arbitraries'

describe('against odex, a general-purpose adaptive solver', () => {
  test('lap times of random cars on random tracks agree', () => {
    let compared = 0
    fc.assert(
      fc.property(anyCar, anyTrack, (car, track) => {
        // The referee's brakes do not warm the winding, its turbo clock stops where ours lets the ramp go on: both are left out.
        const plain = {
          ...car,
          controller: { ...car.controller, turbo: 0 as const },
          motor: { ...car.motor, thermal: undefined },
        }
        const ours = simulateLap(plain, track, { trace: false })
        if (isAbsent(ours)) return
        const theirs = odexLap(plain, track, 1e-10, ours.entrySpeedMps)
        expect(Math.abs(ours.timeS - theirs.timeS)).toBeLessThan(2e-6 * ours.timeS)
        expect(Math.abs(theirs.speedMps - ours.entrySpeedMps)).toBeLessThan(1e-4)
        compared++
      }),
      { numRuns: 40 },
    )
    expect(compared).toBeGreaterThan(30)
  })
})

describe('against simple-statistics', () => {
  const laps = fc.array(fc.double({ min: 5, max: 120, noNaN: true }), { minLength: 3, maxLength: 60 })

  test('mean, median, sample deviation and MAD of random laps agree', () => {
    fc.assert(
      fc.property(laps, (list) => {
        const s = lapStatistics(list)
        expect(s.meanS).toBeCloseTo(stats.mean(list), 9)
        expect(s.medianS).toBeCloseTo(stats.median(list), 9)
        expect(s.madS).toBeCloseTo(stats.medianAbsoluteDeviation(list), 9)
        expect(s.sumS).toBeCloseTo(stats.sum(list), 7)
        expect(isAbsent(s.sdS) ? 0 : s.sdS).toBeCloseTo(stats.sampleStandardDeviation(list), 7)
      }),
    )
  })

  test('best three in a row is the least of all windows', () => {
    fc.assert(
      fc.property(laps, (list) => {
        const windows = list.slice(2).map((_, i) => stats.sum(list.slice(i, i + 3)))
        const best = lapStatistics(list).bestThreeConsecutiveS
        expect(isAbsent(best) ? 0 : best).toBeCloseTo(stats.min(windows), 7)
      }),
    )
  })

  test('the tire wear line is the least-squares line', () => {
    const reading = fc.record({
      runs: fc.integer({ min: 0, max: 60 }),
      diameterMm: fc.double({ min: 78, max: 88, noNaN: true }),
    })
    fc.assert(
      fc.property(
        fc.uniqueArray(reading, { minLength: 3, maxLength: 20, selector: (r) => r.runs }),
        (readings) => {
          const line = stats.linearRegression(readings.map((r) => [r.runs, r.diameterMm]))
          const wear = tireWear(readings)
          expect(-wear.lossPerRunMm).toBeCloseTo(line.m, 8)
          expect(wear.newDiameterMm).toBeCloseTo(line.b, 7)
        },
      ),
    )
  })

  test('the normal distribution function is the error function’s', () => {
    for (let z = -4; z <= 4; z += 0.13)
      expect(normal(z)).toBeCloseTo((1 + stats.errorFunction(z / Math.SQRT2)) / 2, 6)
  })
})
