import fc from '../../support/fast-check'
import { describe, expect, test } from 'vitest'
import {
  chargeTime,
  isAbsent,
  loadedVoltage,
  motorHeat,
  restVoltage,
  runsLeft,
  stateOfChargeAtRest,
  timeToWindingTemperature,
  tireWear,
  usableCharge,
} from '@/lib/setup-math'
import { pouchTable } from '../../reference/fixtures/pouch-table'
import { there } from '../../support/there'

const pack = { cells: 2, capacityAh: 6, resistanceOhm: 0.008, stateOfCharge: 1, restVoltageTable: pouchTable }
const share = fc.double({ min: 0, max: 1, noNaN: true })

describe('the pack', () => {
  test('rest voltage rises with charge and reads back', () => {
    fc.assert(
      fc.property(share, share, (a, b) => {
        const [lo, hi] = [Math.min(a, b), Math.max(a, b)]
        expect(restVoltage(pouchTable, lo)).toBeLessThanOrEqual(restVoltage(pouchTable, hi))
        expect(stateOfChargeAtRest(pouchTable, restVoltage(pouchTable, a))).toBeCloseTo(a, 9)
      }),
    )
  })

  test('usable charge ends where the loaded voltage meets the floor', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 90, noNaN: true }),
        fc.double({ min: 6.1, max: 7.4, noNaN: true }),
        (loadA, floorV) => {
          const used = usableCharge(pack, { loadA, floorV })
          const left = loadedVoltage({ ...pack, stateOfCharge: 1 - used / 6 }, loadA)
          if (used === 0) expect(left).toBeLessThanOrEqual(floorV + 1e-9)
          else if (used < 6 - 1e-9) expect(left).toBeCloseTo(floorV, 8)
        },
      ),
    )
  })

  test('a load that is too heavy at once leaves nothing usable', () => {
    expect(usableCharge(pack, { loadA: 400, floorV: 6.4 })).toBe(0)
  })

  test('a table that falls is refused by its row', () => {
    expect(() =>
      restVoltage(
        [
          [0, 3],
          [0.5, 3.7],
          [1, 3.6],
        ],
        0.2,
      ),
    ).toThrow('restVoltageTable[2][1] is 3.6; must be not below the row before (3.7)')
    expect(() =>
      restVoltage(
        [
          [0, 3],
          [0, 3.7],
        ],
        0.2,
      ),
    ).toThrow(/above the row before/)
  })

  test('charge time agrees with stepping the charger through small steps', () => {
    const question = { fromSoc: 0.35, toSoc: 1, currentA: 9, fullVoltsPerCell: 4.2, cutoffA: 0.5 }
    const exact = there(chargeTime(pack, question))
    let [soc, s] = [0.35, 0]
    const dt = 0.01
    for (;;) {
      const amps = Math.min(9, (4.2 - restVoltage(pouchTable, Math.min(1, soc))) / 0.004)
      if (amps <= 0.5) break
      soc += (amps * dt) / (6 * 3600)
      s += dt
    }
    expect(exact.totalS).toBeCloseTo(s, 0)
    expect(exact.endSoc).toBeCloseTo(soc, 4)
    expect(exact.totalS).toBe(exact.constantCurrentS + exact.constantVoltageS)
  })

  test('charging to less than full never tapers', () => {
    expect(
      there(chargeTime(pack, { fromSoc: 0.3, toSoc: 0.5, currentA: 6, fullVoltsPerCell: 4.2, cutoffA: 0.3 })),
    ).toMatchObject({ constantCurrentS: expect.closeTo(720, 9), constantVoltageS: 0, endSoc: 0.5 })
  })

  test('more current is never slower', () => {
    fc.assert(
      fc.property(fc.double({ min: 1, max: 20, noNaN: true }), (a) => {
        const s = (currentA: number) =>
          there(chargeTime(pack, { fromSoc: 0.2, toSoc: 1, currentA, fullVoltsPerCell: 4.2, cutoffA: 0.3 }))
            .totalS
        expect(s(a * 1.2)).toBeLessThanOrEqual(s(a) + 1e-9)
      }),
    )
  })
})

const motor = {
  windingToCanKPerW: 0.5,
  canToAmbientKPerW: 2.2,
  windingTimeConstantS: 15,
  canTimeConstantS: 420,
  resistance25Ohm: 0.03,
}

describe('motor heat', () => {
  test('two stretches one after the other are one stretch', () => {
    const load = { currentA: 30, ambientC: 28 }
    const first = there(motorHeat(motor, { ...load, seconds: 140 }))
    const second = there(
      motorHeat(motor, { ...load, seconds: 160, startWindingC: first.windingC, startCanC: first.canC }),
    )
    const whole = there(motorHeat(motor, { ...load, seconds: 300 }))
    expect(second.windingC).toBeCloseTo(whole.windingC, 8)
    expect(second.canC).toBeCloseTo(whole.canC, 8)
  })

  test('settles where heat in is heat out', () => {
    const t = there(motorHeat(motor, { currentA: 30, seconds: 1e5, ambientC: 25 }))
    const watts = 900 * 0.03 * (1 + 0.00393 * (t.windingC - 25))
    expect((t.canC - 25) / 2.2).toBeCloseTo(watts, 6)
    expect((t.windingC - t.canC) / 0.5).toBeCloseTo(watts, 6)
  })

  test('iron loss alone warms the can first', () => {
    const t = there(motorHeat(motor, { currentA: 0, seconds: 60, ambientC: 20, ironLossW: 20 }))
    expect(t.canC).toBeGreaterThan(t.windingC)
    expect(t.windingC).toBeGreaterThan(20)
  })

  test('a current that runs away is told so, not as a number', () => {
    expect(motorHeat(motor, { currentA: 150, seconds: 1e4, ambientC: 25 })).toMatchObject({
      absent: true,
      reason: expect.stringMatching(/burns out/),
    })
    expect(timeToWindingTemperature(motor, { currentA: 5, ambientC: 25 }, 130)).toMatchObject({
      absent: true,
    })
  })
})

describe('tires', () => {
  test('runs left follow the fitted line', () => {
    const wear = tireWear([
      { runs: 0, diameterMm: 84 },
      { runs: 10, diameterMm: 82 },
    ])
    expect(wear.lossPerRunMm).toBeCloseTo(0.2, 12)
    expect(wear.diameterAt(5)).toBeCloseTo(83, 12)
    expect(runsLeft(wear, 10, 80)).toBeCloseTo(10, 9)
    expect(runsLeft(wear, 99, 80)).toBe(0)
    expect(isAbsent(wear.residualMm)).toBe(true)
  })

  test('a tire that does not wear has no end, and one reading no line', () => {
    expect(
      runsLeft(
        tireWear([
          { runs: 0, diameterMm: 84 },
          { runs: 10, diameterMm: 84 },
        ]),
        3,
        80,
      ),
    ).toMatchObject({ absent: true })
    expect(() => tireWear([{ runs: 3, diameterMm: 84 }])).toThrow(/two different numbers of runs/)
  })
})
