import { expect, test } from 'vitest'
import { HATCHES } from '@/app/card/lap-map'
import {
  BAND_COUNT,
  gainBands,
  lapBands,
  lapPath,
  lapPieces,
  lapTrace,
  traceAt,
  type LapTrace,
} from '@/lib/card'
import { projectionBoard, TEST_TRACK } from '../../support/projection-board'

/** Invented: a stadium of 20 m straights; 10 to 20 m/s on the first, braking to 10 at its end. */
const straight = { kind: 'straight', lengthM: 20, grip: 1 } as const
const bend = { kind: 'corner', radiusM: 20 / Math.PI, arcDegrees: 180, turn: 'left', grip: 1 } as const
const stadium = [straight, bend, straight, bend]
const trace: LapTrace = {
  lapS: 7,
  distanceM: [0, 10, 15, 20, 40, 60, 80],
  speedMps: [10, 18, 20, 10, 10, 12, 10],
  motorCurrentA: [50, 40, 0, 10, 10, 30, 10],
  packVoltageV: [7.8, 7.9, 8, 8, 8, 7.9, 8],
  timingDeg: [0, 0, 20, 0, 0, 0, 0],
  limit: ['grip', 'motor', 'braking', 'grip', 'motor', 'grip', 'grip'],
  marks: [0, 1, 2, 3].map((i) => ({
    atM: 20 * i,
    lengthM: 20,
    name: `piece ${i}`,
    kind: i % 2 ? ('corner' as const) : ('straight' as const),
    brakeAtM: i === 0 ? 15 : null,
    turboAtM: i === 0 ? 12 : null,
  })),
}

test('every band has a hatch of its own, and each covers less of the color than the one before', () => {
  expect(HATCHES).toHaveLength(BAND_COUNT)
  const covered = HATCHES.map((h) => {
    const [on = 0, off = 1] = h?.split(' ').map(Number) ?? [0, 1]
    return on / (on + off)
  })
  covered.forEach((c, i) => i > 0 && expect(c).toBeLessThan((covered[i - 1] ?? 0) - 0.05))
})

test('a place on the lap lies on its own piece of the drawing, and the way between two keeps the bends', () => {
  const path = lapPath(stadium, trace.marks)
  if (!path) throw new Error('no path')
  expect(path.lengthM).toBe(80)
  expect(path.at(10)).toMatchObject({ x: 10, y: 0, dx: 1 })
  // Half round a left bend of radius 20/pi: at its far side, the diameter's half above (y grows downwards).
  expect(path.at(30).x).toBeCloseTo(20 + 20 / Math.PI, 1)
  expect(path.at(30).y).toBeCloseTo(-20 / Math.PI, 1)
  expect(path.at(50).y).toBeCloseTo(-40 / Math.PI, 6)
  const way = path.between(10, 30)
  expect(way[0]).toMatchObject({ x: 10, y: 0 })
  expect(way.length).toBeGreaterThan(10)
  const long = way
    .slice(1)
    .reduce((s, p, i) => s + Math.hypot(p.x - (way[i]?.x ?? 0), p.y - (way[i]?.y ?? 0)), 0)
  expect(long).toBeCloseTo(20, 1)
})

test('a model whose track is longer than the drawing still brakes at the drawn corner', () => {
  const longer = trace.marks.map((m) => ({ ...m, atM: 1.1 * m.atM, lengthM: 1.1 * m.lengthM }))
  expect(lapPath(stadium, longer)?.at(22)).toMatchObject({
    x: expect.closeTo(20, 9),
    y: expect.closeTo(0, 9),
  })
})

test('no picture of a track without measures, nor of another track’s lap', () => {
  expect(lapPath([straight], trace.marks)).toBeNull()
  expect(lapPath([{ ...bend, radiusM: undefined }, bend, straight, bend], trace.marks)).toBeNull()
  expect(lapPath([], [])).toBeNull()
})

test.each(['speed', 'timing', 'grip'] as const)(
  'colored by %s, the whole lap is in bands, without gap or overlap',
  (layer) => {
    const { bands, stretches } = lapBands([trace], layer)
    const own = stretches[0] ?? []
    expect(own[0]?.fromM).toBe(0)
    expect(own.at(-1)?.toM).toBe(80)
    own.forEach((s, i) => {
      expect(bands[s.band]).not.toBeNull()
      const before = own[i - 1]
      if (!before) return
      expect(s.fromM).toBe(before.toM)
      expect(s.band).not.toBe(before.band)
    })
  },
)

test('speed: five equal bands from the slowest to the fastest, the fastest stretch in the last', () => {
  const { bands, stretches } = lapBands([trace], 'speed')
  expect(bands[0]).toEqual({ from: 10, to: 12 })
  // From 18 to 20 m/s the mean is 19: 18 to 20 is the last fifth of 10 to 20.
  expect(stretches[0]).toContainEqual({ band: 4, fromM: 10, toM: 15 })
})

test('timing that nothing adds is one band; two laps are on one scale', () => {
  const none = { ...trace, timingDeg: trace.timingDeg.map(() => 0) }
  expect(lapBands([none], 'timing').bands.filter(Boolean)).toEqual([{ from: 0, to: 0 }])
  const both = lapBands([trace, { ...trace, speedMps: trace.speedMps.map((v) => 2 * v) }], 'speed')
  expect(both.bands[0]?.valueOf()).toEqual({ from: 10, to: 16 })
  expect(Math.max(...(both.stretches[0] ?? []).map((s) => s.band))).toBeLessThan(4)
})

test('grip: at the limit, braking, or to spare, as the lap was driven', () => {
  const { bands, stretches } = lapBands([trace], 'grip')
  expect(bands.map((b) => b && 'state' in b && b.state)).toEqual(['spare', null, null, 'braking', 'limit'])
  expect(stretches[0]?.slice(0, 3)).toEqual([
    { band: 4, fromM: 0, toM: 10 },
    { band: 0, fromM: 10, toM: 15 },
    { band: 3, fromM: 15, toM: 20 },
  ])
})

test('gained: a lap against itself is in the middle band; a faster one is above it where it is faster', () => {
  expect(gainBands(trace, trace).stretches[0]).toEqual([{ band: 2, fromM: 0, toM: 80 }])
  const faster = { ...trace, speedMps: trace.speedMps.map((v, i) => (i < 3 ? v + 1 : v)) }
  const { bands, stretches } = gainBands(trace, faster)
  expect(stretches[0]?.[0]).toMatchObject({ band: 4, fromM: 0 })
  expect(stretches[0]?.at(-1)).toMatchObject({ band: 2, toM: 80 })
  expect(bands[0]).toBeNull()
})

test('by piece: slowest, fastest, timing, how long the tires hold no more, where it brakes', () => {
  const [first, second] = lapPieces(trace)
  expect(first).toMatchObject({ slowestMps: 10, fastestMps: 20, timingDeg: 20, brakeAtM: 15, turboAtM: 12 })
  // 0 to 10 m at the limit and 15 to 20 m braking, of 20 m.
  expect(first?.limitShare).toBeCloseTo(0.75, 9)
  expect(second).toMatchObject({ slowestMps: 10, fastestMps: 10, brakeAtM: null })
})

test('read between its points a trace is straight, and holds at its ends', () => {
  expect(traceAt(trace, 'speedMps', 5)).toBe(14)
  expect(traceAt(trace, 'speedMps', -1)).toBe(10)
  expect(traceAt(trace, 'speedMps', 99)).toBe(10)
})

test('a real lap: the car brakes on straights alone and before their end, and every stretch can be drawn', () => {
  const t = lapTrace(projectionBoard().basis())
  if (typeof t === 'string') throw new Error(t)
  const braking = t.marks.filter((m) => m.brakeAtM !== null)
  expect(braking.length).toBeGreaterThan(0)
  for (const m of braking) {
    expect(m.brakeAtM).toBeGreaterThanOrEqual(m.atM)
    expect(m.brakeAtM).toBeLessThan(m.atM + m.lengthM)
  }
  expect(t.limit).toContain('braking')
  const path = lapPath(TEST_TRACK, t.marks)
  for (const s of lapBands([t], 'speed').stretches[0] ?? [])
    expect(path?.between(s.fromM, s.toM).every((p) => Number.isFinite(p.x + p.y))).toBe(true)
  for (const p of lapPieces(t)) expect(p.slowestMps).toBeLessThanOrEqual(p.fastestMps)
})
