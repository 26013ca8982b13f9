import fc from '../../support/fast-check'
import { describe, expect, test } from 'vitest'
import { inversionShares, robustTrend, type Point } from '@/lib/season'
import { drawsFrom } from '../../support/seeded-draws'

const points = (x: readonly number[], y: readonly number[]): Point[] =>
  x.map((v, i) => ({ x: v, y: y[i] ?? 0 }))
const trendOf = (p: readonly Point[], level?: number) => {
  const trend = robustTrend(p, level)
  if (!trend) throw new Error('no trend')
  return trend
}

describe('published examples', () => {
  test('statpsych::ci.theil (Bonett, after Hollander and Wolfe 1999), with equal x', () => {
    const y = [21, 4, 9, 12, 35, 18, 10, 22, 24, 1, 6, 8, 13, 16, 19]
    const x = [67, 28, 30, 28, 52, 40, 25, 37, 44, 10, 14, 20, 28, 40, 51]
    const trend = trendOf(points(x, y), 0.95)
    expect(trend.slope).toBeCloseTo(0.5, 6)
    expect(trend.low).toBeCloseTo(0.3243243, 6)
    expect(trend.high).toBeCloseTo(0.75, 6)
  })

  test('five years of a ratio, from memory: Hollander and Wolfe, ch. 9, cloud seeding', () => {
    const trend = trendOf(points([1, 2, 3, 4, 5], [1.26, 1.27, 1.12, 1.16, 1.03]))
    expect(trend.slope).toBeCloseTo(-0.05625, 6)
    expect([trend.low, trend.high].map((v) => Number(v.toFixed(6)))).toEqual([-0.13, 0.01])
    expect(trend.level).toBeCloseTo(0.916, 2)
  })
})

describe('the distribution behind the interval', () => {
  test('is Kendall’s: every order of a few points, counted', () => {
    for (const groups of [
      [1, 1, 1, 1],
      [1, 1, 1, 1, 1, 1],
      [2, 1, 3],
      [3, 3],
      [1, 2, 2, 1],
    ]) {
      const shares = inversionShares(groups)
      const counted = countOrders(groups)
      expect(shares).toHaveLength(counted.length)
      shares.forEach((s, i) => expect(s).toBeCloseTo(counted[i] ?? 0, 12))
    }
  })

  test('sums to one and is symmetric with many points, none below zero', () => {
    const shares = inversionShares(Array.from({ length: 120 }, (_, i) => 1 + (i % 3 === 0 ? 1 : 0)))
    expect(shares.reduce((a, b) => a + b, 0)).toBeCloseTo(1, 9)
    shares.forEach((s, i) => expect(s).toBeCloseTo(shares[shares.length - 1 - i] ?? 0, 9))
    expect(Math.min(...shares)).toBeGreaterThanOrEqual(0)
  })
})

/** Shares of orders by how many pairs of different groups are in falling order. */
function countOrders(groups: readonly number[]): number[] {
  const group = groups.flatMap((size, g) => Array.from({ length: size }, () => g))
  const n = group.length
  const counts: number[] = []
  let all = 0
  const walk = (order: number[]) => {
    if (order.length < n) {
      for (let v = 0; v < n; v++) if (!order.includes(v)) walk([...order, v])
      return
    }
    let falling = 0
    for (let i = 0; i < n; i++)
      for (let j = i + 1; j < n; j++)
        if (group[i] !== group[j] && (order[i] ?? 0) > (order[j] ?? 0)) falling++
    counts[falling] = (counts[falling] ?? 0) + 1
    all++
  }
  walk([])
  return Array.from(counts, (c) => (c ?? 0) / all)
}

const value = fc.integer({ min: -8000, max: 8000 }).map((v) => v / 8)
const series = (min: number, max = 25) =>
  fc.array(fc.record({ x: fc.integer({ min: 0, max: 500 }), y: value }), { minLength: min, maxLength: max })

test('fewer than four points claim nothing', () => {
  fc.assert(fc.property(series(0, 3), (p) => robustTrend(p) === null))
})

test('four points at one day claim nothing either', () => {
  expect(robustTrend(points([3, 3, 3, 3], [1, 2, 3, 4]))).toBeNull()
})

test('one bad point does not turn the trend of a straight line', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 5, max: 30 }),
      value,
      value,
      fc.nat(),
      fc.double({ min: -1e6, max: 1e6, noNaN: true }),
      (n, a, b, at, bad) => {
        const p = Array.from({ length: n }, (_, i) => ({ x: i, y: i === at % n ? bad : a + b * i }))
        expect(trendOf(p).slope).toBeCloseTo(b, 6)
      },
    ),
  )
})

test('shuffling the points changes nothing, and other units only the scale', () => {
  fc.assert(
    fc.property(
      series(6).chain((p) => fc.tuple(fc.constant(p), fc.shuffledSubarray(p, { minLength: p.length }))),
      ([p, shuffled]) => {
        const [a, b] = [robustTrend(p), robustTrend(shuffled)]
        expect([b?.slope, b?.low, b?.high]).toEqual([a?.slope, a?.low, a?.high])
        const c = robustTrend(p.map(({ x, y }) => ({ x: x / 4, y: y * 8 })))
        expect(c?.slope).toEqual(a?.slope === undefined ? undefined : a.slope * 32)
        if (a) expect(a.low <= a.slope && a.slope <= a.high).toBe(true)
      },
    ),
  )
})

test('nine in ten intervals hold the true slope, however few the points', () => {
  const { gauss } = drawsFrom(7)
  for (const n of [4, 6, 12]) {
    let held = 0
    const tries = 1500
    for (let t = 0; t < tries; t++) {
      const p = Array.from({ length: n }, (_, i) => ({ x: i, y: 0.3 * i + gauss() }))
      const trend = trendOf(p)
      if (trend.low <= 0.3 && trend.high >= 0.3) held++
    }
    // Binomial: nine in ten less three standard errors.
    expect(held / tries).toBeGreaterThan(0.9 - 3 * Math.sqrt(0.09 / tries))
  }
})
