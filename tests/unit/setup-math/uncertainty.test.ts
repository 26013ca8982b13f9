import { describe, expect, test } from 'vitest'
import {
  carUncertainty,
  likelyResults,
  projectRaceWithUncertainty,
  simulateLap,
  withUncertainty,
  type Maybe,
} from '@/lib/setup-math'
import { benchCar, benchTrack } from '../../support/setup-math-cars'
import { coverSeasons, seasonFigures } from '../../support/simulated-seasons'
import { there } from '../../support/there'
import { expectNineInTen } from '../../support/expect-nine-in-ten'

const input = (name: string, value: number, sd: number, more = {}) => ({
  name,
  value,
  sd,
  measure: `measure ${name}`,
  ...more,
})

describe('an interval', () => {
  test('of a sum of two inputs is the textbook one, with its shares', () => {
    const r = there(
      withUncertainty({
        inputs: [input('a', 10, 3), input('b', 5, 4)],
        evaluate: ([a = 0, b = 0]) => ({ sum: a + b }),
        derive: (s) => s,
      }),
    )
    // sd 5, so ± 1.645 x 5; 9/25 and 16/25 of the variance.
    expect(r.sum.value).toBe(15)
    // A thousand draws leave the 95% point uncertain by 0.33, one standard error.
    expect(Math.abs(r.sum.high - 15 - 8.22)).toBeLessThan(1)
    expect(Math.abs(15 - r.sum.low - 8.22)).toBeLessThan(1)
    expect(r.sum.contributions.map((c) => c.name)).toEqual(['b', 'a'])
    expect(r.sum.contributions[0]!.share).toBeCloseTo(0.64, 1)
    expect(r.sum.contributions[0]!.measure).toBe('measure b')
  })

  test('is the same every time it is asked for', () => {
    const ask = () => there(projectRaceWithUncertainty(benchCar, benchTrack, { raceSeconds: 300 }))
    expect(ask()).toEqual(ask())
  })

  test('costs two evaluations for each input and one more', () => {
    let count = 0
    there(
      withUncertainty({
        inputs: Array.from({ length: 12 }, (_, i) => input(`x${i}`, i, 1)),
        evaluate: (x) => (count++, { y: x.reduce((s, v) => s + v, 0) }),
        derive: (s) => s,
      }),
    )
    expect(count).toBe(25)
  })

  test('stays within an input’s bounds, and bends with a curve', () => {
    const r = there(
      withUncertainty({
        inputs: [input('share', 0.98, 0.05, { min: 0, max: 1 })],
        evaluate: ([x = 0]) => ({ x, square: x * x }),
        derive: (s) => s,
      }),
    )
    expect(r.x.high).toBeLessThanOrEqual(1 + 1e-12)
    expect(r.x.low).toBeLessThan(0.92)
    expect(r.square.high).toBeLessThanOrEqual(1 + 1e-9)
  })

  test('an exact input adds nothing, and a dead side leaves the other to speak', () => {
    const r = there(
      withUncertainty({
        inputs: [input('exact', 1, 0), input('edge', 2, 0.5)],
        evaluate: ([a = 0, b = 0]): Maybe<{ y: number }> =>
          b < 2 ? { absent: true as const, reason: 'does not drive below 2' } : { y: a + 3 * b },
        derive: (s) => s,
      }),
    )
    expect(r.y.contributions.map((c) => c.name)).toEqual(['edge'])
    expect(r.y.high).toBeGreaterThan(8.5)
  })

  test('what cannot be evaluated at all is absent', () => {
    expect(
      withUncertainty({
        inputs: [],
        evaluate: () => ({ absent: true as const, reason: 'stands still' }),
        derive: (s) => s,
      }),
    ).toEqual({ absent: true, reason: 'stands still' })
  })
})

describe('a card', () => {
  test('names what matters most: a stated uncertainty that shrinks to nothing leaves the list', () => {
    const usual = there(projectRaceWithUncertainty(benchCar, benchTrack, { raceSeconds: 300 }))
    expect(usual.lapS!.contributions[0]!.name).toBe('grip')
    const known = there(
      projectRaceWithUncertainty(benchCar, benchTrack, { raceSeconds: 300, stated: { grip: 0 } }),
    )
    expect(known.lapS!.contributions.some((c) => c.name === 'grip')).toBe(false)
    expect(known.lapS!.high - known.lapS!.low).toBeLessThan(usual.lapS!.high - usual.lapS!.low)
    expect(usual.chargeLeftAh!.contributions.slice(0, 2).map((c) => c.name)).toContain('pack capacity')
  })

  test('the car comes back from its inputs unchanged', () => {
    const { inputs, carWith } = carUncertainty(benchCar)
    expect(carWith(inputs.map((i) => i.value))).toEqual(benchCar)
    const lap = there(simulateLap(carWith(inputs.map((i) => i.value)), benchTrack))
    expect(lap.timeS).toBe(there(simulateLap(benchCar, benchTrack)).timeS)
  })
})

describe('simulated seasons with known truth', () => {
  test('the 90% interval covers 85 to 95% of what then happened', () => {
    const seasons = 500
    const held = coverSeasons(seasons, 11)
    expectNineInTen(held, seasons, seasonFigures)
  }, 240_000)
})

describe('the lap counts a race may end with', () => {
  // Mean laps spread evenly from 21 to 25 s: 15 laps below 300/14 s, 14 up to 300/13, 13 up to 25.
  const even = Float64Array.from({ length: 4000 }, (_, i) => 21 + (4 * (i + 0.5)) / 4000)

  test('have the chances of their laps, and the finish that each count gives', () => {
    const results = likelyResults(even, 300)
    expect(results.map((r) => r.laps)).toEqual([13, 14, 15])
    const [thirteen, fourteen, fifteen] = results
    expect(thirteen?.chance).toBeCloseTo((25 - 300 / 13) / 4, 3)
    expect(fourteen?.chance).toBeCloseTo((300 / 13 - 300 / 14) / 4, 3)
    expect(fifteen?.chance).toBeCloseTo((300 / 14 - 21) / 4, 3)
    // 14 laps take from 300 to 14/13 of 300 s; nine tenths of that.
    expect(fourteen?.finishLowS).toBeCloseTo(300 + 0.05 * (300 / 13), 1)
    expect(fourteen?.finishHighS).toBeCloseTo(300 + 0.95 * (300 / 13), 1)
  })

  test('are named until the fewest of them hold 90%', () => {
    const named = (draws: Float64Array) =>
      likelyResults(draws, 300)
        .filter((r) => r.likely)
        .map((r) => r.laps)
    // 48.1, 41.2 and 10.7%: the first two hold 89.3%, so the third is needed.
    expect(named(even)).toEqual([13, 14, 15])
    expect(named(even.filter((s) => s > 21.3))).toEqual([13, 14])
    expect(named(Float64Array.of(22, 22.1, 22.2))).toEqual([14])
  })
})
