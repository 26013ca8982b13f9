import { expect, test } from 'vitest'
import { DAY_MS, leaveRaces, packLife, robustTrend, USUAL_LEAVE, type PackReading } from '@/lib/season'
import { POUCH_REST_VOLTAGE } from '@/lib/card'
import { restVoltage } from '@/lib/setup-math'

const T0 = Date.UTC(2026, 0, 1)
const day = (d: number) => T0 + d * DAY_MS
const PACK = { id: 'P1', cells: 2, capacityMah: 5000 }
const reading = (d: number, r: Partial<PackReading>): PackReading => ({ at: day(d), ...r })
const charge = (d: number, capacityMah: number, soc: number) => ({
  packId: 'P1',
  at: day(d),
  day: null,
  chargeBackMah: capacityMah * (1 - soc),
  restVoltageV: 2 * restVoltage(POUCH_REST_VOLTAGE, soc),
})

test('a pack that rises by 0.1 mΩ a week is told to leave when it reaches twice its first readings', () => {
  const readings = Array.from({ length: 12 }, (_, i) =>
    reading(i * 7, { resistanceMilliohm: 4 + 0.1 * i, resistanceAtC: 25 }),
  )
  const { resistance } = packLife(PACK, readings, [])
  expect(resistance.trend?.slope).toBeCloseTo(0.1 / 7, 9)
  expect(resistance.threshold).toEqual({
    value: USUAL_LEAVE.timesResistance * 4.1,
    side: 'above',
    isCommonPractice: true,
  })
  // 8.2 mΩ is 42 weeks after the first reading: further ahead than eleven weeks of readings bear.
  expect(resistance.leaving).toEqual({ state: 'not-before', x: 2 * 11 * 7 })
  const own = packLife({ ...PACK, leaveMilliohm: 5.5 }, readings, []).resistance
  expect(own.threshold?.isCommonPractice).toBe(false)
  expect(own.leaving).toMatchObject({ state: 'at' })
  expect(own.leaving?.state === 'at' && own.leaving.x).toBeCloseTo(15 * 7, 6)
})

test('one wild reading neither retires a pack nor turns its trend', () => {
  const steady = Array.from({ length: 9 }, (_, i) =>
    reading(i * 10, { resistanceMilliohm: 4 + 0.05 * (i % 2), resistanceAtC: 25 }),
  )
  const wild = steady.map((r, i) => (i === 8 ? { ...r, resistanceMilliohm: 40 } : r))
  expect(packLife(PACK, steady, []).resistance.leaving).toEqual({ state: 'no-trend' })
  expect(packLife(PACK, wild, []).resistance.leaving).toEqual({ state: 'no-trend' })
})

test('no claim on fewer than four readings, of any figure; a pack past its limit is told so by three', () => {
  const readings = [0, 30, 60].map((d, i) => reading(d, { resistanceMilliohm: 4 + i, cycles: 10 * i }))
  const life = packLife(PACK, readings, [])
  expect(life.resistance.trend).toBeNull()
  expect(life.resistance.leaving).toEqual({ state: 'too-few', points: 3 })
  expect(life.cycles.trend).toBeNull()
  const past = packLife({ ...PACK, leaveMilliohm: 4.5 }, readings, [])
  expect(past.resistance.leaving).toEqual({ state: 'past', value: 5 })
})

test('a cold reading is compared at 25 °C, one without a temperature as it was read', () => {
  const { points } = packLife(
    PACK,
    [reading(0, { resistanceMilliohm: 5, resistanceAtC: 10 }), reading(1, { resistanceMilliohm: 5 })],
    [],
  ).resistance
  // Arrhenius with 20 kJ/mol: exp(-20000 / 8.314 (1/283.15 - 1/298.15)) = 0.652.
  expect(points[0]?.value).toBeCloseTo(5 * 0.652, 2)
  expect(points.map((p) => p.from)).toEqual(['reading', 'as-read'])
})

test('charges tell the capacity where they began nearly empty and rested; others are left out and counted', () => {
  const { capacity } = packLife(
    PACK,
    [reading(5, { capacityMah: 4700 })],
    [
      charge(1, 4800, 0.1),
      charge(2, 4600, 0.25),
      charge(3, 4600, 0.4),
      { packId: 'P1', at: day(4), day: null, chargeBackMah: 3000, restVoltageV: null },
      { ...charge(6, 4000, 0.1), packId: 'P2' },
    ],
  )
  expect(capacity.points.map((p) => [Math.round(p.value), p.from])).toEqual([
    [4800, 'charge'],
    [4600, 'charge'],
    [4700, 'reading'],
  ])
  expect(capacity.leftOut).toBe(2)
  expect(capacity.threshold).toEqual({ value: 4000, side: 'below', isCommonPractice: true })
})

test('voltages under load are compared per cell at like loads; storage keeps how long it was', () => {
  const life = packLife(
    PACK,
    [
      reading(0, { loadedVoltageV: 7.2, loadA: 30 }),
      reading(9, { loadedVoltageV: 6.9, loadA: 60 }),
      reading(20, { loadedVoltageV: 7.1, loadA: 31 }),
      reading(30, { restVoltageV: 7.6, storedDays: 28 }),
      reading(31, { restVoltageV: 8.3 }),
    ],
    [],
  )
  expect(life.loadA).toBe(31)
  expect(life.load.points.map((p) => p.value)).toEqual([3.6, 3.55])
  expect(life.load.leftOut).toBe(1)
  expect(life.storage.points).toEqual([{ at: day(30), value: 3.8, from: 'reading', days: 28 }])
})

test('a figure that falls reaches a lower threshold within its interval; away from it there is no crossing', () => {
  const points = [0, 10, 20, 30, 40, 50].map((x, i) => ({ x, y: 5000 - 12 * x + [3, -4, 2, -1, 4, -2][i]! }))
  const trend = robustTrend(points)
  const below = { value: 4000, side: 'below', isCommonPractice: true } as const
  const leaving = leaveRaces(points, trend, below)
  expect(leaving.state).toBe('at')
  if (leaving.state !== 'at') return
  expect(leaving.x).toBeCloseTo(1000 / 12, 0)
  expect(leaving.from).toBeLessThanOrEqual(leaving.x)
  expect(leaving.to).toBeGreaterThanOrEqual(leaving.x)
  expect(leaveRaces(points, trend, { ...below, value: 6000, side: 'above' })).toEqual({ state: 'no-trend' })
  expect(leaveRaces([], null, below)).toEqual({ state: 'too-few', points: 0 })
})
