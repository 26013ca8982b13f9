import { describe, expect, test } from 'vitest'
import { changeRecord } from '@/lib/board'
import { benchFigures, type BenchGround } from '@/lib/card/projections/projections-bench'
import { isAbsent, lossPriors, torqueConstant, wheelsUpTorque } from '@/lib/setup-math'
import { projectionBoard } from '../../support/projection-board'
import { must } from '../../support/must'

/** A motor of 3400 rpm/V at 30°, 0.9% of Kv per degree, read at 7.4 V with 20 mohm. */
const ohm = 0.02
const kvAt = (deg: number) => 3400 * (1 + 0.009 * (deg - 30))
const rpmAt = (deg: number, amps: number) => kvAt(deg) * (7.4 - amps * ohm)
const motor = {
  id: 'm',
  name: 'Teasel',
  resistanceMilliohm: 20,
  noLoadTimingDeg: 30,
  noLoadVolts: 7.4,
  noLoadRpm: rpmAt(30, 4),
  noLoadCurrentA: 4,
  secondTimingDeg: 42,
  secondVolts: 7.4,
  secondRpm: rpmAt(42, 5.5),
  secondCurrentA: 5.5,
}
const ground = (over: Partial<Record<'motor' | 'car' | 'pack', object>>): BenchGround =>
  ({
    motor: undefined,
    car: undefined,
    pack: undefined,
    driven: '4wd',
    spur: 72,
    pinion: 24,
    internalRatio: 2.5,
    timingDeg: null,
    ...over,
  }) as BenchGround

describe('bench readings', () => {
  test('two readings of the motor alone give Kv, its gain per degree, and how the loss rises', () => {
    const f = benchFigures(ground({ motor }))
    expect(f.kv?.[0]).toBeCloseTo(3400, 6)
    expect(f.kvTimingDeg?.[0]).toBe(30)
    expect(f.advanceGain?.[0]).toBeCloseTo(0.9, 9)
    // Loss torque goes with amperes over Kv; two fifths of it with speed.
    const faster = 0.6 + (0.4 * motor.secondRpm) / motor.noLoadRpm
    expect(f.noLoadRise?.[0]).toBeCloseTo((100 * (5.5 / kvAt(42) / (4 / 3400) / faster - 1)) / 12, 9)
  })

  test('readings too close in timing, or without speed, give no slope', () => {
    expect(benchFigures(ground({ motor: { ...motor, secondTimingDeg: 31 } })).advanceGain).toBeUndefined()
    expect(benchFigures(ground({ motor: { ...motor, secondRpm: undefined } })).advanceGain).toBeUndefined()
    expect(benchFigures(ground({ motor: { ...motor, noLoadRpm: undefined } })).kv).toBeUndefined()
  })

  test('wheels up: what is drawn beyond the motor’s own turns the driveline', () => {
    const kt = torqueConstant(3400)
    const finalDrive = (72 / 24) * 2.5
    // 25 mNm at the wheels.
    const amps = 4 + 0.025 / (kt * finalDrive)
    const f = benchFigures(ground({ motor, car: { wheelsUpCurrentA: amps, wheelsUpRpm: motor.noLoadRpm } }))
    expect(f.drivelineMNm?.[0]).toBeCloseTo(25, 6)
    expect(f.drivelineMNm?.[1]).toBeLessThan(1000 * lossPriors.drivelineNm['4wd'][1])
    // Another pinion then than now.
    const other = benchFigures(
      ground({ motor, car: { wheelsUpCurrentA: amps, wheelsUpRpm: motor.noLoadRpm, wheelsUpPinion: 36 } }),
    )
    expect(other.drivelineMNm?.[0]).toBeCloseTo((25 * 24) / 36, 6)
  })

  test('wheels up below the motor’s own reading: one of the two is off, and nothing is said', () => {
    expect(
      benchFigures(ground({ motor, car: { wheelsUpCurrentA: 3, wheelsUpRpm: 25_000 } })).drivelineMNm,
    ).toBeUndefined()
    expect(
      isAbsent(
        wheelsUpTorque({
          currentA: 3,
          rpm: 25_000,
          finalDrive: 7.5,
          kvRpmPerVolt: 3400,
          noLoadCurrentA: 4,
          noLoadRpm: 25_000,
          noLoadSpeedShare: 0.4,
        }),
      ),
    ).toBe(true)
  })

  test('without the motor’s own reading wheels up gives the no-load current, the driveline’s usual part taken off', () => {
    const bare = { ...motor, kvRpmPerVolt: 3400, noLoadCurrentA: undefined }
    const f = benchFigures(ground({ motor: bare, car: { wheelsUpCurrentA: 6, wheelsUpRpm: 24_000 } }))
    const usual = lossPriors.drivelineNm['4wd'][0] / (torqueConstant(3400) * 7.5)
    expect(f.noLoadA?.[0]).toBeCloseTo(6 - usual, 9)
    expect(f.drivelineMNm).toBeUndefined()
  })

  test('a pack read cold is raced warmer and resists less; one read warm gains nothing', () => {
    const at = (resistanceAtC: number) =>
      benchFigures(ground({ pack: { resistanceMilliohm: 6, resistanceAtC } })).packMilliohm
    expect(at(10)?.[0]).toBeLessThan(5)
    const share = (c: number) => (at(c)?.[1] ?? 0) / (at(c)?.[0] ?? 1)
    expect(share(10)).toBeGreaterThan(share(25))
    expect(at(40)?.[0]).toBe(6)
  })

  test('what is read on the kit’s pages stands in the card’s projections, as measured and with less spread', () => {
    const b = projectionBoard()
    const find = (id: string) => b.basis().inputs.find((i) => i.id === id)
    expect(find('drivelineMNm')).toMatchObject({ source: 'assumed' })
    const before = find('drivelineMNm')
    must(
      changeRecord(b.m, 'kit', 'motors', b.motorId, {
        noLoadCurrentA: 2.6,
        noLoadTimingDeg: 28,
        noLoadVolts: 7.4,
        noLoadRpm: 16_000,
      }),
    )
    must(changeRecord(b.m, 'kit', 'cars', b.carId, { wheelsUpCurrentA: 4.2, wheelsUpRpm: 15_500 }))
    const after = find('drivelineMNm')
    expect(after).toMatchObject({ source: 'kit' })
    expect(after?.sd).toBeLessThan(before?.sd ?? 0)
  })
})
