import fc from '../../support/fast-check'
import { describe, expect, test } from 'vitest'
import { judgeTest, leastSquares, nextSide, runLap, sideOfRun, studentT, type TestRun } from '@/lib/learning'
import { driveByBoard, practiceDay } from '../../support/practice-days'

describe('least squares', () => {
  test('the Longley data set gives the certified values', () => {
    // NIST Statistical Reference Datasets, Longley (1967), linear regression, higher difficulty; certified values (from memory, the fit confirms them).
    const data = [
      [60323, 83.0, 234289, 2356, 1590, 107608, 1947],
      [61122, 88.5, 259426, 2325, 1456, 108632, 1948],
      [60171, 88.2, 258054, 3682, 1616, 109773, 1949],
      [61187, 89.5, 284599, 3351, 1650, 110929, 1950],
      [63221, 96.2, 328975, 2099, 3099, 112075, 1951],
      [63639, 98.1, 346999, 1932, 3594, 113270, 1952],
      [64989, 99.0, 365385, 1870, 3547, 115094, 1953],
      [63761, 100.0, 363112, 3578, 3350, 116219, 1954],
      [66019, 101.2, 397469, 2904, 3048, 117388, 1955],
      [67857, 104.6, 419180, 2822, 2857, 118734, 1956],
      [68169, 108.4, 442769, 2936, 2798, 120445, 1957],
      [66513, 110.8, 444546, 4681, 2637, 121950, 1958],
      [68655, 112.6, 482704, 3813, 2552, 123366, 1959],
      [69564, 114.2, 502601, 3931, 2514, 125368, 1960],
      [69331, 115.7, 518173, 4806, 2572, 127852, 1961],
      [70551, 116.9, 554894, 4007, 2827, 130081, 1962],
    ]
    const fit = leastSquares(
      data.map(([, ...x]) => [1, ...x]),
      data.map(([y]) => y ?? 0),
    )
    const certified = [
      [-3482258.63459582, 890420.383607373],
      [15.0618722713733, 84.9149257747669],
      [-0.035819179292591, 0.0334910077722432],
      [-2.02022980381683, 0.488399681651699],
      [-1.03322686717359, 0.214274163161675],
      [-0.0511041056535807, 0.22607320006937],
      [1829.15146461355, 455.478499142212],
    ]
    certified.forEach(([value, error], k) => {
      expect((fit?.coefficients[k] ?? 0) / (value ?? 1)).toBeCloseTo(1, 7)
      expect((fit?.errors[k] ?? 0) / (error ?? 1)).toBeCloseTo(1, 7)
    })
    expect(fit?.residualSd).toBeCloseTo(304.854073561965, 4)
    expect(fit?.freedom).toBe(9)
  })

  test('columns that are made of each other, and no run too many, give nothing', () => {
    expect(
      leastSquares(
        [
          [1, 2],
          [1, 2],
          [1, 2],
        ],
        [1, 2, 3],
      ),
    ).toBeNull()
    expect(
      leastSquares(
        [
          [1, 2],
          [1, 3],
        ],
        [1, 2],
      ),
    ).toBeNull()
    expect(leastSquares([], [])).toBeNull()
  })
})

test('points of Student’s t', () => {
  // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, critical values (upper tail).
  for (const [p, freedom, t] of [
    [0.9, 1, 3.078],
    [0.95, 10, 1.812],
    [0.975, 5, 2.571],
    [0.975, 30, 2.042],
    [0.995, 20, 2.845],
    [0.999, 3, 10.215],
  ] as const)
    expect(studentT(p, freedom)).toBeCloseTo(t, 3)
  expect(studentT(0.05, 10)).toBeCloseTo(-1.812, 3)
})

describe('the order of runs', () => {
  test('mirrored: drift falls out after four runs, one that bends after eight', () => {
    const sides = Array.from({ length: 8 }, (_, i) => (sideOfRun(i) === 'A' ? 1 : -1))
    expect(sides).toEqual([1, -1, -1, 1, -1, 1, 1, -1])
    const sum = (count: number, power: number) =>
      sides.slice(0, count).reduce((s, x, i) => s + x * i ** power, 0)
    expect([sum(4, 0), sum(4, 1)]).toEqual([0, 0])
    expect([sum(8, 0), sum(8, 1), sum(8, 2)]).toEqual([0, 0, 0])
  })

  test('a side that is two runs behind comes next', () => {
    expect(nextSide([])).toBe('A')
    expect(nextSide(['A', 'B'])).toBe('B')
    expect(nextSide(['A', 'A'])).toBe('B')
    expect(nextSide(['A', 'B', 'B', 'B'])).toBe('A')
  })
})

describe('a run’s lap', () => {
  test('leaves out the first, crashes and what was marked', () => {
    const run = runLap([27, 20, 20.2, 19.8, 26, 20, 20.4], new Set([6]))
    expect(run?.leftOut).toEqual([0, 4, 6])
    expect(run?.counted).toBe(4)
    expect(run?.lapS).toBeCloseTo(20, 9)
  })
  test('fewer than three laps tell no pace', () => {
    expect(runLap([25, 20, 20])).toBeNull()
    expect(runLap([])).toBeNull()
  })
})

describe('A or B', () => {
  const abba = (laps: number[]): TestRun[] => laps.map((lapS, i) => ({ side: sideOfRun(i), at: i, lapS }))

  test('A B B A with a steady drift gives the difference by hand: mean of B less mean of A', () => {
    // Drift 0.1 s a run, B 0.5 s faster; a scatter of (1, -1, 1, -1) times 0.01 s has to be there for a ±. Design arithmetic.
    const runs = abba([20.01, 19.59, 19.71, 20.29])
    const v = judgeTest(runs, 0.05)
    expect(v.differenceS).toBeCloseTo((19.59 + 19.71) / 2 - (20.01 + 20.29) / 2, 9)
    expect(v.driftPerUnit).toBeCloseTo((3 * (20.29 - 20.01) + (19.71 - 19.59)) / 10, 9)
    expect(v.removed).toEqual(['drift'])
  })

  test('before four runs, and with one side only, nothing is said', () => {
    expect(judgeTest([], 0.1)).toMatchObject({ says: 'open', differenceS: null, moreOfEach: 2 })
    expect(judgeTest(abba([20, 19, 19]), 0.1)).toMatchObject({
      says: 'open',
      differenceS: null,
      moreOfEach: 1,
    })
    const one = [0, 1, 2, 3, 4].map((i): TestRun => ({ side: 'A', at: i, lapS: 20 + i / 100 }))
    expect(judgeTest(one, 0.1)).toMatchObject({ says: 'open', differenceS: null, moreOfEach: 2 })
  })

  test('all of A and then all of B is drift as well: it says so little that nobody wins by a drift', () => {
    const drift = Array.from({ length: 8 }, (_, i): TestRun => ({
      side: i < 4 ? 'A' : 'B',
      at: i,
      lapS: 20 - 0.1 * i + (i % 2 ? 0.004 : -0.004),
    }))
    expect(judgeTest(drift, 0.05).says).not.toBe('B')
  })

  test('clear, alike, and open', () => {
    const noise = [0.02, -0.03, 0.01, 0.03, -0.02, 0.02, -0.01, -0.02]
    const day = (by: number, times = 1) =>
      abba(noise.map((x, i) => 20 + times * x + (sideOfRun(i) === 'B' ? by : 0)))
    expect(judgeTest(day(-0.4), 0.1)).toMatchObject({ says: 'B', moreOfEach: null })
    expect(judgeTest(day(0.4), 0.1)).toMatchObject({ says: 'A' })
    expect(judgeTest(day(0), 0.1)).toMatchObject({ says: 'none' })
    const open = judgeTest(day(-0.1, 6), 0.05)
    expect(open.says).toBe('open')
    expect(open.moreOfEach === null || open.moreOfEach > 0).toBe(true)
  })

  test('the order in which runs are entered does not matter', () => {
    const run = fc.record({
      side: fc.constantFrom('A' as const, 'B' as const),
      at: fc.integer({ min: 0, max: 30 }),
      lapS: fc.double({ min: 15, max: 40, noNaN: true }),
    })
    fc.assert(
      fc.property(
        fc
          .array(run, { maxLength: 14 })
          .chain((runs) =>
            fc.tuple(fc.constant(runs), fc.shuffledSubarray(runs, { minLength: runs.length })),
          ),
        ([runs, shuffled]) => {
          expect(judgeTest(shuffled, 0.1)).toEqual(judgeTest(runs, 0.1))
        },
      ),
      { numRuns: 60 },
    )
  })

  test('on days without a difference hardly anybody wins, and intervals hold', () => {
    const days = Array.from({ length: 60 }, (_, i) => driveByBoard(practiceDay(50_000 + i, i % 2 === 1)))
    const winners = days.filter((d, i) => i % 2 === 0 && (d.says === 'A' || d.says === 'B'))
    // The counts of these seeds: 5% of 30 and 90% of 60 are what is aimed at.
    expect([
      winners.length,
      days.filter((d) => d.held === null).length,
      days.filter((d) => d.held).length,
    ]).toEqual([1, 0, 56])
  })
})
