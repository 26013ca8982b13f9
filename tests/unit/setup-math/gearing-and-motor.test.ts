import fc from '../../support/fast-check'
import { describe, expect, test } from 'vitest'
import {
  airTravel,
  boostDegrees,
  convert,
  cutoffActs,
  finalDrive,
  kvFromNoLoad,
  kvWithTiming,
  motorCurve,
  pairInSlot,
  punchLimitedDuty,
  RangeProblem,
  rankGearPairs,
  rescaleWinding,
  resistanceAtTemperature,
  sameSpeedFinalDrive,
  speedAtRpm,
  rollout,
  timingGain,
  triggerForDuty,
  triggerToDuty,
  turboDegrees,
  units,
  unitsLike,
  type TriggerSettings,
  type UnitName,
} from '@/lib/setup-math'

describe('gear pairs', () => {
  const question = {
    pinions: [24, 25, 26, 27, 28],
    spurs: [72, 75, 78],
    internalRatio: 2.6,
    targetFinalDrive: 7.5,
  }

  test('are ranked by distance to the target, with the teeth each costs', () => {
    const ranked = rankGearPairs({ ...question, fitted: { pinion: 26, spur: 78 } })
    expect(ranked).toHaveLength(15)
    const off = ranked.map((p) => Math.abs(p.offTarget))
    expect(off).toEqual([...off].sort((a, b) => a - b))
    // 75/26 x 2.6 = 7.5 exactly: three teeth off the spur.
    expect(ranked[0]).toMatchObject({ pinion: 26, spur: 75, finalDrive: 7.5, toothSteps: 3 })
    // 72/25 and 78/27 lie 0.012 and 0.011 off.
    expect(ranked.slice(1, 3).map((p) => `${p.pinion}/${p.spur}`)).toEqual(['27/78', '25/72'])
  })

  test('are marked by whether the mount takes them', () => {
    const slot = { minCentreMm: 25.5, maxCentreMm: 26 }
    const ranked = rankGearPairs({ ...question, moduleMm: 0.5, slot })
    for (const p of ranked)
      expect(p.fits).toBe((p.pinion + p.spur) / 4 >= 25.5 && (p.pinion + p.spur) / 4 <= 26)
    expect(pairInSlot({ pinion: 26, spur: 78, moduleMm: 0.5 }, slot)).toEqual({
      fits: true,
      centreMm: 26,
      toMinMm: 0.5,
      toMaxMm: 0,
    })
  })

  test('a slot without a module, and a slot upside down, are refused', () => {
    expect(() => rankGearPairs({ ...question, slot: { minCentreMm: 25, maxCentreMm: 26 } })).toThrow(
      RangeProblem,
    )
    expect(() =>
      pairInSlot({ pinion: 26, spur: 78, moduleMm: 0.5 }, { minCentreMm: 27, maxCentreMm: 26 }),
    ).toThrow(/at least slot.minCentreMm/)
  })

  test('the same-speed ratio keeps the no-load speed', () => {
    const before = { kvRpmPerVolt: 2200, voltageV: 7.4, tireDiameterMm: 83 }
    const after = { kvRpmPerVolt: 2650, voltageV: 7.2, tireDiameterMm: 80.5 }
    const ratio = sameSpeedFinalDrive(7, before, after)
    const speed = (b: typeof before, fdr: number) =>
      speedAtRpm({
        rpm: b.kvRpmPerVolt * b.voltageV,
        rolloutMm: rollout({ tireDiameterMm: b.tireDiameterMm, finalDrive: fdr }),
      })
    expect(speed(after, ratio)).toBeCloseTo(speed(before, 7), 9)
  })

  test('half a tooth and no teeth are refused by name', () => {
    expect(() => finalDrive({ pinion: 24.5, spur: 78, internalRatio: 2.6 })).toThrow(
      'pinion is 24.5; must be a whole number 1 to 1000 teeth',
    )
    expect(() => finalDrive({ pinion: 24, spur: 0, internalRatio: 2.6 })).toThrow(/^spur is 0/)
  })
})

describe('the motor', () => {
  const motor = { kvRpmPerVolt: 2200, resistanceOhm: 0.045, noLoadCurrentA: 2.5 }

  test('has its best efficiency where the formula says, and nowhere better', () => {
    const curve = motorCurve(motor, 7.4)
    expect(curve.bestEfficiency.efficiency).toBeCloseTo(curve.maxEfficiency, 12)
    for (let share = 0; share <= 1; share += 0.01) {
      expect(curve.at(share * curve.stallTorqueNm).efficiency).toBeLessThanOrEqual(
        curve.maxEfficiency + 1e-12,
      )
      expect(curve.at(share * curve.stallTorqueNm).powerW).toBeLessThanOrEqual(curve.mostPower.powerW + 1e-9)
    }
    expect(curve.at(0)).toMatchObject({ rpm: curve.noLoadRpm, currentA: 2.5, powerW: 0 })
    expect(curve.at(curve.stallTorqueNm).rpm).toBeCloseTo(0, 9)
  })

  test('in and out: electrical power is shaft power, copper and friction', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 1, noNaN: true }), (share) => {
        const curve = motorCurve(motor, 7.4)
        const torque = share * curve.stallTorqueNm
        const p = curve.at(torque)
        const friction = curve.torqueConstantNmPerA * 2.5 * p.rpm * (Math.PI / 30)
        expect(7.4 * p.currentA).toBeCloseTo(p.powerW + p.currentA ** 2 * 0.045 + friction, 8)
      }),
    )
  })

  test('that cannot turn is refused', () => {
    expect(() => motorCurve({ ...motor, noLoadCurrentA: 200 }, 7.4)).toThrow(/below the stall current/)
  })

  test('rewinding there and back changes nothing', () => {
    const back = rescaleWinding(rescaleWinding(motor, { fromTurns: 13.5, toTurns: 17.5 }), {
      fromTurns: 17.5,
      toTurns: 13.5,
    })
    expect(back.kvRpmPerVolt).toBeCloseTo(2200, 9)
    expect(back.resistanceOhm).toBeCloseTo(0.045, 12)
    expect(back.noLoadCurrentA).toBeCloseTo(2.5, 12)
  })

  test('timing’s gain is found from no-load readings that it made', () => {
    const readings = [0, 10, 20, 35].map((timingDeg) => {
      const currentA = 2 + 0.08 * timingDeg
      return {
        timingDeg,
        voltageV: 7.4,
        currentA,
        rpm: kvWithTiming(2200, timingDeg, 0.012) * (7.4 - currentA * 0.045),
      }
    })
    const fit = timingGain(readings, 0.045)
    expect(fit.kvAtZeroTiming).toBeCloseTo(2200, 6)
    expect(fit.gainPerDegree).toBeCloseTo(0.012, 9)
    expect(() => timingGain(readings.slice(0, 1), 0.045)).toThrow(/two different timings/)
    expect(() => kvFromNoLoad({ timingDeg: 0, rpm: 1e4, voltageV: 1, currentA: 100 }, 0.045)).toThrow(
      RangeProblem,
    )
  })
})

describe('the controller', () => {
  test('boost is linear between its two speeds, turbo comes after its delay and stops at its limit', () => {
    const boost = { degrees: 20, startRpm: 8000, endRpm: 16_000 }
    expect([0, 8000, 12_000, 16_000, 40_000].map((rpm) => boostDegrees(boost, rpm))).toEqual([
      0, 0, 10, 20, 20,
    ])
    const turbo = { degrees: 10, delayS: 0.1, rampDegPerS: 100 }
    expect([0, 0.1, 0.15, 0.2, 9].map((s) => turboDegrees(turbo, s))).toEqual([
      0,
      0,
      expect.closeTo(5, 9),
      10,
      10,
    ])
    expect(() => boostDegrees({ ...boost, endRpm: 8000 }, 1)).toThrow(/above startRpm/)
  })

  const settings: fc.Arbitrary<TriggerSettings> = fc.record({
    throttleEndPoint: fc.double({ min: 0.4, max: 1.2, noNaN: true }),
    expo: fc.double({ min: -1, max: 1, noNaN: true }),
    neutralDeadband: fc.double({ min: 0, max: 0.2, noNaN: true }),
    softening: fc.double({ min: 0, max: 1, noNaN: true }),
    softeningRange: fc.double({ min: 0.05, max: 1, noNaN: true }),
    dragBrake: fc.double({ min: 0, max: 0.3, noNaN: true }),
    brakeForce: fc.double({ min: 0.3, max: 1, noNaN: true }),
  })

  test('duty stays in 0..1 and never falls as the trigger is pulled', () => {
    fc.assert(
      fc.property(settings, (s) => {
        let [drive, brake] = [0, 0]
        for (let t = 0; t <= 1.0001; t += 0.02) {
          const x = Math.min(1, t)
          const pull = triggerToDuty(s, x)
          const push = triggerToDuty(s, -x)
          expect(pull.drive).toBeGreaterThanOrEqual(drive - 1e-12)
          expect(push.brake).toBeGreaterThanOrEqual(brake - 1e-12)
          expect(pull.drive).toBeLessThanOrEqual(1)
          expect(pull.drive === 0 || pull.brake === 0).toBe(true)
          ;[drive, brake] = [pull.drive, push.brake]
        }
      }),
    )
  })

  test('neutral gives the drag brake, the deadband nothing else, softening nothing past its range', () => {
    const s = { neutralDeadband: 0.05, dragBrake: 0.12, softening: 0.6, softeningRange: 0.2 }
    expect(triggerToDuty(s, 0)).toEqual({ drive: 0, brake: 0.12 })
    expect(triggerToDuty(s, 0.05)).toEqual({ drive: 0, brake: 0.12 })
    const hard = triggerToDuty({ ...s, softening: 0 }, 0.5).drive
    expect(triggerToDuty(s, 0.5).drive).toBe(hard)
    expect(triggerToDuty(s, 0.1).drive).toBeLessThan(triggerToDuty({ ...s, softening: 0 }, 0.1).drive)
  })

  test('the trigger for a duty gives that duty back', () => {
    fc.assert(
      fc.property(settings, fc.double({ min: 0.01, max: 1, noNaN: true }), (s, duty) => {
        const trigger = triggerForDuty(s, duty)
        if (trigger === undefined) expect(triggerToDuty(s, 1).drive).toBeLessThan(duty)
        else expect(triggerToDuty(s, trigger).drive).toBeGreaterThanOrEqual(duty - 1e-9)
      }),
    )
  })

  test('the punch limit holds the rise, never the fall', () => {
    expect(punchLimitedDuty({ punchLimitPerS: 4 }, 0.2, 1, 0.1)).toBeCloseTo(0.6, 12)
    expect(punchLimitedDuty({ punchLimitPerS: 4 }, 0.2, 1, 1)).toBe(1)
    expect(punchLimitedDuty({ punchLimitPerS: 4 }, 0.8, 0, 0.001)).toBe(0)
    expect(punchLimitedDuty({}, 0, 1, 0)).toBe(1)
  })

  test('the cutoff compares volts per cell', () => {
    expect(cutoffActs({ packVoltageV: 6.39, cells: 2, cutoffVoltsPerCell: 3.2 })).toBe(true)
    expect(cutoffActs({ packVoltageV: 6.4, cells: 2, cutoffVoltsPerCell: 3.2 })).toBe(false)
  })
})

describe('units', () => {
  test('there and back is where one was, for every pair of one quantity', () => {
    for (const from of Object.keys(units) as UnitName[]) {
      for (const to of unitsLike(from))
        expect(convert(convert(123.456, from, to), to, from)).toBeCloseTo(123.456, 8)
    }
  })

  test('units of different quantities, unknown units and cold below zero are refused', () => {
    expect(() => convert(1, 'oz-in', 'N/m')).toThrow('to is “N/m”; must be a unit of torque, as oz-in is')
    expect(() => convert(1, 'furlong' as UnitName, 'm')).toThrow(/^from is “furlong”/)
    expect(() => convert(1, 'toString' as UnitName, 'm')).toThrow(RangeProblem)
    expect(() => convert(-300, 'C', 'F')).toThrow(/absolute zero/)
  })
})

test('a cold pack resists more, a warm one reads back at its own temperature and gains nothing above 25 °C', () => {
  const at = (temperatureC: number) =>
    resistanceAtTemperature({ resistanceOhm: 0.01, measuredAtC: 25, temperatureC })
  expect(at(25)).toBeCloseTo(0.01, 15)
  expect(at(45)).toBe(at(25))
  expect(at(5)).toBeGreaterThan(at(25))
})

test('air travel: the limits themselves', () => {
  expect([100, 100.01, 160, 160.01].map(airTravel)).toEqual([
    'carry-on',
    'carry-on with approval',
    'carry-on with approval',
    'not carried',
  ])
})
