import { expect, test } from 'vitest'
import { addRecord, changeRecord } from '@/lib/board'
import { compareCards, gearingSweep, lapTrace, sameSpeedRatio, turboDelaySweep } from '@/lib/card'
import { errorPriors } from '@/lib/setup-math'
import { projectionBoard } from '../../support/projection-board'
import { must } from '../../support/must'

test('the trace closes the lap: same speed at both ends, distance rising, marks at the pieces’ beginnings', () => {
  const t = lapTrace(projectionBoard().basis())
  if (typeof t === 'string') throw new Error(t)
  expect(t.speedMps.at(-1)).toBeCloseTo(t.speedMps[0] ?? 0, 3)
  expect(t.distanceM.every((d, i) => i === 0 || d >= (t.distanceM[i - 1] ?? 0))).toBe(true)
  expect(t.marks[1]).toMatchObject({ atM: 40, name: 'Hairpin', kind: 'corner' })
  // 40 + pi 3 + 22 + 8 x 40° + 12 + 3.2 x 140° in m, arithmetic.
  expect(t.distanceM.at(-1)).toBeCloseTo(
    40 + 3 * Math.PI + 22 + (8 * 40 * Math.PI) / 180 + 12 + (3.2 * 140 * Math.PI) / 180,
    3,
  )
})

test('a card beside itself differs in nothing, without any ±', () => {
  const basis = projectionBoard().basis()
  for (const d of compareCards(basis, basis).differences) {
    expect(d.trial - d.today, d.key).toBe(0)
    expect(d.plusMinus, d.key).toBe(0)
  }
})

test('one tooth more: the gearing figures differ exactly, and what both laps share cancels in the ±', () => {
  const b = projectionBoard()
  const c = compareCards(b.basis(), b.basis({ pinion: 32 }))
  const of = (key: string) => c.differences.find((d) => d.key === key)
  expect(of('finalDrive')).toMatchObject({
    today: expect.closeTo(6.03870968, 6),
    trial: expect.closeTo(5.85, 9),
    plusMinus: 0,
  })
  const lap = of('lapS')
  expect(lap?.trial).not.toBe(lap?.today)
  // Grip alone moves each lap by far more than it moves their difference.
  expect(lap?.plusMinus).toBeLessThan(0.6)
  // The trace is driven at the limit; the figure has what drivers leave of it.
  expect((lap?.today ?? 0) / (c.today?.lapS ?? 1)).toBeCloseTo(Math.exp(errorPriors.lap.mean), 3)
  expect(c.energy?.trial.length).toBeGreaterThan(5)
})

test('nonsense in the trial is named, and today’s lap is still there', () => {
  const b = projectionBoard()
  const basis = b.basis()
  const bad = { ...basis, inputs: basis.inputs.map((i) => (i.id === 'pinion' ? { ...i, value: 0 } : i)) }
  expect(compareCards(basis, bad).problem).toMatchObject({ field: 'Pinion', value: '0' })
  expect(compareCards(basis, { ...basis, segments: null }).problem).toContain('track')
})

test('the gearing sweep marks what the mount takes and counts the teeth from what is fitted', () => {
  const b = projectionBoard()
  const rows = gearingSweep(b.basis(), {
    pinions: [30, 31, 32],
    spurs: [72, 76],
    fitted: { pinion: 31, spur: 72 },
    moduleMm: 0.5,
    slot: { minCentreMm: 25, maxCentreMm: 26.1 },
    targetFinalDrive: null,
  })
  expect(rows).toHaveLength(6)
  const own = rows[0]
  expect(own).toMatchObject({ pinion: 31, spur: 72, toothSteps: 0, offTarget: 0, fits: true })
  // Center distance 0.5 (31 + 72) / 2 = 25.75 mm; 32 + 76 needs 27.
  expect(own?.centreMm).toBe(25.75)
  expect(rows.find((r) => r.pinion === 32 && r.spur === 76)).toMatchObject({ fits: false, centreMm: 27 })
  expect(rows.every((r) => r.lapS !== null && r.topMps !== null)).toBe(true)
})

test('same-speed gearing after a motor change is the old ratio times the ratio of Kv', () => {
  const b = projectionBoard()
  const faster = must(
    addRecord(b.m, 'kit', 'motors', {
      name: 'Faster',
      kvRpmPerVolt: 2750,
      resistanceMilliohm: 20,
      noLoadCurrentA: 2.5,
    }),
  )
  // 6.03870968 x 2750 / 2200
  expect(sameSpeedRatio(b.basis(), b.basis({ motor: faster }))).toBeCloseTo(7.5483871, 6)
  expect(sameSpeedRatio(b.basis(), b.basis({ pinion: 30 }))).toBeNull()
})

test('a trial tire set brings its diameter, and same-speed gearing follows it', () => {
  const b = projectionBoard()
  const worn = must(addRecord(b.m, 'kit', 'tireSets', { label: 'T02', diameterMm: 80 }))
  expect(sameSpeedRatio(b.basis(), b.basis({ tires: worn }))).toBeCloseTo((6.03870968 * 80) / 83, 6)
})

test('a longer turbo delay never fires on more straights', () => {
  const rows = turboDelaySweep(projectionBoard().basis(), [0, 0.05, 0.1, 0.3, 0.6, 1, 2])
  expect(rows).toHaveLength(7)
  const counts = rows.map((r) => r.fires.length)
  expect(counts).toEqual([...counts].sort((x, y) => y - x))
  expect(counts[0]).toBeGreaterThan(counts.at(-1) ?? 0)
  expect(rows[0]?.fires).toContain('Long')
})

test('without a track the sweep is of gearing alone', () => {
  const b = projectionBoard()
  must(changeRecord(b.m, 'kit', 'tracks', b.trackId, { segments: null }))
  expect(turboDelaySweep(b.basis(), [0.1])).toEqual([])
  const rows = gearingSweep(b.basis(), {
    pinions: [31],
    spurs: [72],
    fitted: null,
    moduleMm: null,
    slot: null,
    targetFinalDrive: null,
  })
  expect(rows).toMatchObject([{ lapS: null, rolloutMm: expect.closeTo(43.180117, 5) }])
})
