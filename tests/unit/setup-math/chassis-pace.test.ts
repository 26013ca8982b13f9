import fc from '../../support/fast-check'
import { describe, expect, test } from 'vitest'
import {
  ballastFor,
  cgHeight,
  dampingRatio,
  isAbsent,
  lapStatistics,
  paceFor,
  projectRace,
  RangeProblem,
  rideFrequency,
  weightMargin,
  type BallastPlace,
} from '@/lib/setup-math'

describe('ballast', () => {
  const car = { massKg: 1.5, frontPercent: 38, leftPercent: 48 }
  const places: BallastPlace[] = [
    { name: 'nose', forward: 1, leftward: 0.5, maxKg: 0.1 },
    { name: 'left', forward: 0.5, leftward: 1, maxKg: 0.1 },
    { name: 'right', forward: 0.5, leftward: 0, maxKg: 0.1 },
    { name: 'tail', forward: 0, leftward: 0.5, maxKg: 0.1 },
  ]

  test('one place, worked by hand: x at the nose lifts 38% to 40% of 1.5 kg', () => {
    const plan = ballastFor(car, places.slice(0, 1), { frontPercent: 40 })
    if (isAbsent(plan)) throw new Error(plan.reason)
    // (0.57 + x) / (1.5 + x) = 0.4 -> x = 0.05
    expect(plan.massesKg).toEqual([expect.closeTo(0.05, 12)])
    expect(plan.frontPercent).toBeCloseTo(40, 12)
  })

  test('nothing is added where nothing is needed', () => {
    expect(ballastFor(car, places, { frontPercent: 38, minimumKg: 1.4 })).toMatchObject({ addedKg: 0 })
  })

  test('reaches the target within the bounds, and no random plan does it with less', () => {
    const target = fc.record({
      frontPercent: fc.double({ min: 36, max: 41, noNaN: true }),
      leftPercent: fc.double({ min: 46.5, max: 50.5, noNaN: true }),
      minimumKg: fc.double({ min: 1.4, max: 1.65, noNaN: true }),
    })
    let found = 0
    fc.assert(
      fc.property(
        target,
        fc.array(fc.array(fc.double({ min: 0, max: 0.1, noNaN: true }), { minLength: 4, maxLength: 4 }), {
          minLength: 20,
          maxLength: 20,
        }),
        (t, tries) => {
          const goal = { ...t, tolerancePercent: 0.2 }
          const plan = ballastFor(car, places, goal)
          const meets = (x: number[]) => {
            const total = 1.5 + x.reduce((s, v) => s + v, 0)
            const front = (100 * (0.57 + x[0]! + 0.5 * x[1]! + 0.5 * x[2]!)) / total
            const left = (100 * (0.72 + 0.5 * x[0]! + x[1]! + 0.5 * x[3]!)) / total
            return (
              Math.abs(front - t.frontPercent) <= 0.2 + 1e-7 &&
              Math.abs(left - t.leftPercent) <= 0.2 + 1e-7 &&
              total >= t.minimumKg - 1e-9
            )
          }
          if (isAbsent(plan)) {
            for (const x of tries) expect(meets(x)).toBe(false)
            return
          }
          found++
          expect(meets(plan.massesKg)).toBe(true)
          plan.massesKg.forEach((x) => expect(x).toBeLessThanOrEqual(0.1 + 1e-9))
          for (const x of tries)
            if (meets(x)) expect(plan.addedKg).toBeLessThanOrEqual(x.reduce((s, v) => s + v, 0) + 1e-9)
        },
      ),
      { numRuns: 200 },
    )
    expect(found).toBeGreaterThan(50)
  })

  test('out of reach is told so', () => {
    expect(ballastFor(car, places, { frontPercent: 60 })).toMatchObject({
      absent: true,
      reason: expect.stringMatching(/another place/),
    })
  })
})

describe('chassis', () => {
  test('a front that gets lighter with the rear raised is no weighing', () => {
    expect(
      cgHeight({
        wheelbaseM: 0.285,
        raiseM: 0.12,
        wheelRadiusM: 0.0415,
        massKg: 1.6,
        frontLevelKg: 0.65,
        frontRaisedKg: 0.4,
      }),
    ).toMatchObject({ absent: true })
  })

  test('a damper of the critical rate has ratio 1, and a tire in series lowers the frequency', () => {
    expect(
      dampingRatio({ damperNsPerM: 2 * Math.sqrt(900 * 0.4), wheelRateNPerM: 900, massKg: 0.4 }),
    ).toBeCloseTo(1, 12)
    expect(rideFrequency({ wheelRateNPerM: 900, tireRateNPerM: 5000, massKg: 0.4 })).toBeLessThan(
      rideFrequency({ wheelRateNPerM: 900, massKg: 0.4 }),
    )
  })

  test('weight against the minimum, with a scale that may be off', () => {
    expect(weightMargin({ massKg: 1.476, minimumKg: 1.474, scaleToleranceKg: 0.003 })).toEqual({
      marginKg: expect.closeTo(0.002, 12),
      passes: true,
      surelyPasses: false,
    })
  })
})

describe('pace', () => {
  test('the lap for one more is the border itself', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 60, max: 3600, noNaN: true }),
        fc.double({ min: 8, max: 50, noNaN: true }),
        (raceSeconds, lapSeconds) => {
          const p = paceFor({ raceSeconds, lapSeconds })
          expect(p.finishSeconds).toBeGreaterThanOrEqual(raceSeconds * (1 - 1e-9))
          expect(p.finishSeconds - lapSeconds).toBeLessThanOrEqual(raceSeconds)
          expect(paceFor({ raceSeconds, lapSeconds: p.lapForOneMore * (1 - 1e-9) }).laps).toBe(p.laps + 1)
          expect(paceFor({ raceSeconds, lapSeconds: p.lapForOneMore * (1 + 1e-9) }).laps).toBe(p.laps)
        },
      ),
    )
  })

  test('one crash moves the mean and the deviation, hardly the median and the MAD', () => {
    const clean = lapStatistics([20.1, 20.3, 20.2, 20.4, 20.2, 20.3, 20.1])
    const crashed = lapStatistics([20.1, 20.3, 20.2, 38, 20.2, 20.3, 20.1])
    expect(crashed.meanS - clean.meanS).toBeGreaterThan(2)
    expect(Math.abs(crashed.medianS - clean.medianS)).toBeLessThan(0.11)
    expect(crashed.madS).toBeLessThan(0.2)
    expect(crashed.bestThreeConsecutiveS).toBeCloseTo(60.6, 9)
  })

  test('short lists leave out what they cannot tell', () => {
    const one = lapStatistics([20])
    expect([one.sdS, one.bestThreeConsecutiveS].every(isAbsent)).toBe(true)
    expect(() => lapStatistics([])).toThrow(RangeProblem)
  })

  test('a heat under way: projected laps, and how near the next one is', () => {
    const laps = [23.1, 22.4, 22.5, 22.3, 22.4]
    const p = projectRace(laps, 300)
    if (isAbsent(p)) throw new Error(p.reason)
    // 112.7 s are gone; 187.3 s at 22.4 s a lap are 8.36 laps, so 9 more.
    expect(p).toMatchObject({ laps: 14, finishSeconds: expect.closeTo(112.7 + 9 * 22.4, 6) })
    expect(p.chanceOneMore).toBeLessThan(0.01)
    expect(isAbsent(projectRace([], 300))).toBe(true)
    expect(projectRace([150, 160], 300)).toMatchObject({ laps: 2, finishSeconds: 310, chanceOneMore: 0 })
  })
})
