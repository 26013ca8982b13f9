import { describe, expect, test } from 'vitest'
import {
  carUncertainty,
  projectRaceWithUncertainty,
  simulateLap,
  withUncertainty,
  type Maybe,
} from '@/lib/setup-math'
import { benchCar, benchTrack } from '../../support/setup-math-cars'
import { coverSeasons, seasonFigures } from '../../support/simulated-seasons'
import { there } from '../../support/there'

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
    // A thousand draws leave the 95 % point uncertain by 0.33, one standard error.
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
  test('the 90 % interval covers 85 to 95 % of what then happened', () => {
    const seasons = 250
    const held = coverSeasons(seasons, 11)
    // A whole number's interval can only be too wide, and a finish follows the lap count: for these two only the floor is asked.
    const jumps = new Set<string>(['raceLaps', 'raceFinishS'])
    const smooth = seasonFigures.filter((f) => !jumps.has(f))
    for (const f of seasonFigures) {
      expect(held[f] / seasons, f).toBeGreaterThanOrEqual(0.85)
      if (!jumps.has(f)) expect(held[f] / seasons, f).toBeLessThanOrEqual(0.95)
    }
    const all = smooth.reduce((s, f) => s + held[f], 0) / (seasons * smooth.length)
    expect(all).toBeGreaterThan(0.87)
    expect(all).toBeLessThan(0.93)
  }, 240_000)
})
