import fc from '../../support/fast-check'
import { describe, expect, test } from 'vitest'
import {
  compareCars,
  fitGrip,
  gearingSweep,
  gripTrigger,
  isAbsent,
  sameSpeedPairs,
  simulateLap,
  simulateStraight,
  trackFromWalk,
  trackLength,
  triggerToDuty,
  turboReport,
  type Car,
  type Track,
} from '@/lib/setup-math'
import { benchCar, benchTrack, rearCar } from '../../support/setup-math-cars'
import { there } from '../../support/there'

describe('a walked track', () => {
  test('an oval closes and has its length', () => {
    const walked = trackFromWalk(
      [{ paces: 30 }, { paces: 12, turnDeg: 180 }, { paces: 30 }, { paces: 12, turnDeg: 180 }],
      { paceM: 0.8 },
    )
    expect(walked.lengthM).toBeCloseTo(84 * 0.8, 12)
    expect(walked.gapM).toBeCloseTo(0, 9)
    expect(walked.turnSumDeg).toBe(360)
    expect(walked.track.segments[1]).toEqual({
      kind: 'corner',
      radiusM: expect.closeTo((12 * 0.8) / Math.PI, 12),
      arcDeg: 180,
    })
    expect(trackLength(walked.track)).toBeCloseTo(walked.lengthM, 12)
  })

  test('left and right are told apart: an S comes out where the chord says', () => {
    const s = trackFromWalk(
      [
        { paces: 10, turnDeg: 90 },
        { paces: 10, turnDeg: -90 },
      ],
      { paceM: 1 },
    )
    // Two quarter circles of radius 20/pi: the end lies 2 r on and 2 r to the side.
    expect(s.gapM).toBeCloseTo(2 * Math.SQRT2 * (20 / Math.PI), 9)
    expect(s.turnSumDeg).toBe(0)
  })
})

describe('grip from a measured lap', () => {
  test('is the grip that made the lap', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 1.4, noNaN: true }),
        fc.constantFrom(benchCar, rearCar),
        (grip, car) => {
          const lap = there(simulateLap({ ...car, grip }, benchTrack, { trace: false }))
          expect(there(fitGrip(car, benchTrack, lap.timeS)).grip).toBeCloseTo(grip, 4)
        },
      ),
      { numRuns: 15 },
    )
  })

  test('a lap that no grip gives is told so', () => {
    expect(fitGrip(benchCar, benchTrack, 3)).toMatchObject({
      absent: true,
      reason: expect.stringMatching(/too long/),
    })
  })

  test('a measured corner speed is driven as measured', () => {
    const measured: Track = {
      segments: benchTrack.segments.map((s) => (s.kind === 'corner' ? { ...s, measuredSpeedMps: 4 } : s)),
    }
    const lap = there(simulateLap(benchCar, measured))
    for (const s of lap.segments) if (s.kind === 'corner') expect(s.exitSpeedMps).toBeCloseTo(4, 9)
  })
})

describe('turbo', () => {
  // Weak enough to leave the grip limit early, so that the clock has time to run on every straight.
  const car: Car = {
    ...benchCar,
    grip: 1.3,
    motor: { ...benchCar.motor, kvRpmPerVolt: 2200 },
    controller: { ...benchCar.controller, turbo: { degrees: 12, delayS: 0.1, rampDegPerS: 200 } },
  }

  test('fires exactly where full throttle is held for the delay', () => {
    const report = there(turboReport(car, benchTrack))
    expect(report.firesOn.length).toBeGreaterThan(0)
    for (const s of report.straights) {
      expect(s.fires).toBe(s.fullThrottleS > 0.1)
      if (s.fires) expect(s.activeS).toBeCloseTo(s.fullThrottleS - 0.1, 6)
      expect(s.arrivalMps).toBeGreaterThanOrEqual(s.arrivalWithoutMps - 1e-9)
    }
    expect(report.lapS).toBeLessThan(report.lapWithoutS)
  })

  test('a shorter delay fires on more straights and says what it brings at which corner', () => {
    const late: Car = {
      ...car,
      controller: { ...car.controller, turbo: { degrees: 12, delayS: 0.75, rampDegPerS: 200 } },
    }
    const report = there(turboReport(late, benchTrack, { trialDelaysS: [0.75, 0.3, 0.02] }))
    expect(report.trials[0]).toMatchObject({ firesOn: report.firesOn, alsoFiresOn: [], noLongerFiresOn: [] })
    const counts = report.trials.map((t) => t.firesOn.length)
    expect(counts[2]!).toBeGreaterThan(counts[0]!)
    for (const extra of report.trials[2]!.alsoFiresOn) {
      expect(report.firesOn).not.toContain(extra.straight)
      expect(extra.gainMps).toBeGreaterThan(0)
      expect(isAbsent(extra.nextCorner)).toBe(false)
    }
  })

  test('a longer delay never fires on a straight that a shorter one leaves out', () => {
    const report = there(turboReport(car, benchTrack, { trialDelaysS: [0, 0.05, 0.1, 0.2, 0.4, 0.8, 1.5] }))
    report.trials.slice(1).forEach((t, i) => {
      for (const s of t.firesOn) expect(report.trials[i]!.firesOn).toContain(s)
    })
  })

  test('no turbo, no report', () => {
    expect(turboReport({ ...car, controller: { turbo: 0 } }, benchTrack)).toMatchObject({ absent: true })
  })
})

describe('where the wheels let go', () => {
  test('at that duty the simulated start is at the grip limit, a little less is not', () => {
    const trigger = { softening: 0.4, neutralDeadband: 0.04, punchLimitPerS: 5 }
    const car: Car = { ...rearCar, controller: { ...rearCar.controller, trigger } }
    const found = there(gripTrigger(car, { speedMps: 2 }))
    expect(triggerToDuty(trigger, there(found.trigger)).drive).toBeCloseTo(found.duty, 9)
    expect(found.punchSeconds).toBeCloseTo(found.duty / 5, 12)
    // A motor of that share of the voltage pulls just as hard at full duty, but for what the chopper does to the pack's sag.
    const stiff: Car = {
      ...car,
      pack: { ...car.pack, resistanceOhm: 0 },
      accessoryCurrentA: 0,
      controller: { ...car.controller, boost: 0, turbo: 0 },
    }
    const duty = there(gripTrigger(stiff, { speedMps: 2 })).duty
    const lowered = (share: number): Car => ({
      ...stiff,
      pack: {
        ...stiff.pack,
        restVoltageTable: stiff.pack.restVoltageTable.map(([s, v]) => [s, v * share] as const),
      },
    })
    const starts = (share: number) =>
      there(simulateStraight(lowered(share), { lengthM: 0.01, entrySpeedMps: 2 })).trace[0]!.limit
    expect(starts(duty * 1.001)).toBe('grip')
    expect(starts(duty * 0.999)).not.toBe('grip')
  })

  test('more grip lets the trigger go further, and speed takes the danger away', () => {
    const [low, high] = [0.6, 1.2].map((grip) => there(gripTrigger(benchCar, { speedMps: 1, grip })).duty)
    expect(high!).toBeGreaterThan(low!)
    expect(isAbsent(gripTrigger(benchCar, { speedMps: 20 }))).toBe(true)
  })
})

describe('comparisons', () => {
  test('a car beside itself differs in nothing', () => {
    const same = there(compareCars(benchCar, benchCar, benchTrack, { raceSeconds: 120 }))
    for (const d of same.differences) expect(d.difference).toBe(0)
    expect(same.trace.every((p) => p.timeGapS === 0)).toBe(true)
  })

  test('a pinion up: the hand’s rollout, and a time gap that ends at the laps’ difference', () => {
    const c = there(
      compareCars(benchCar, { ...benchCar, pinion: 29 }, benchTrack, { raceSeconds: 120, samples: 200 }),
    )
    const by = (id: string) => c.differences.find((d) => d.id === id)!
    expect(by('finalDrive').trial).toBeCloseTo((78 / 29) * 2.6, 12)
    expect(by('rolloutMm').difference).toBeCloseTo((Math.PI * 83) / 2.6 / 78, 9)
    expect(c.trace).toHaveLength(200)
    expect(c.trace.at(-1)!.timeGapS).toBeCloseTo(c.trial.lap.timeS - c.today.lap.timeS, 9)
    expect(c.trace.at(-1)!.distanceM).toBeCloseTo(c.today.lap.lengthM, 9)
  })

  test('a sweep is sorted by lap time, marks the fitted pair and those the mount does not take', () => {
    const sweep = gearingSweep(benchCar, benchTrack, {
      pinions: [24, 26, 28, 30],
      spurs: [75, 78],
      moduleMm: 0.5,
      slot: { minCentreMm: 25.5, maxCentreMm: 26.6 },
    })
    const times = sweep.map((p) => there(p.lap).lapS)
    expect(times).toEqual([...times].sort((a, b) => a - b))
    expect(sweep.filter((p) => p.isFitted).map((p) => `${p.pinion}/${p.spur}`)).toEqual(['28/78'])
    expect(sweep.find((p) => p.isFitted)!.lap).toMatchObject({
      lapS: there(simulateLap(benchCar, benchTrack)).timeS,
    })
    expect(sweep.some((p) => p.fits === false) && sweep.some((p) => p.fits)).toBe(true)
  })

  test('smaller tires ask for a bigger pinion', () => {
    const { targetFinalDrive, pairs } = sameSpeedPairs(
      benchCar,
      { ...benchCar, tireDiameterMm: 80 },
      { pinions: [26, 27, 28, 29, 30], spurs: [78] },
    )
    expect(targetFinalDrive).toBeCloseTo(((78 / 28) * 2.6 * 80) / 83, 12)
    expect(pairs[0]).toMatchObject({ pinion: 29, toothSteps: 1 })
  })
})
