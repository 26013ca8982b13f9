import { describe, expect, test } from 'vitest'
import { conformalFactor, errorPriors, leastPredictions, z90, type ErrorPrior } from '@/lib/setup-math'
import { errorPosterior, type ErrorRecord } from '../../support/error-posterior'
import { drawsFrom } from '../../support/seeded-draws'

const prior: ErrorPrior = { mean: 0.1, surface: 0.1, carClass: 0.1, car: 0.1, run: 0.05, inputs: 0.1 }
const who = { surface: 'clay', carClass: '4wd', car: 'Rook' }
const record = (logRatio: number, more: Partial<ErrorRecord> = {}): ErrorRecord => ({
  ...who,
  logRatio,
  ...more,
})

describe('the model’s error, learned from records', () => {
  test('without records it is the prior', () => {
    expect(errorPosterior(prior, [], who)).toEqual({ mean: 0.1, left: 1, ownRecords: 0 })
  })

  test('one record at the prior’s mean leaves the textbook share of the variance', () => {
    // Normal-normal: common variance 4 x 0.01, one run 0.0025, which Student's weight of a record that does not lie off makes 0.8 of.
    const p = errorPosterior(prior, [record(0.1)], who)
    expect(p.mean).toBeCloseTo(0.1, 9)
    const run = 0.0025 / 1.25
    expect(p.left).toBeCloseTo(run / (0.04 + run), 6)
  })

  test('equal records at the prior’s mean leave the textbook share, however many', () => {
    // Normal-normal: n runs of precision 1.25 / 0.0025 each beside the common variance 0.04 (Gelman et al., ch. 2.5).
    for (const n of [2, 3, 5]) {
      const run = 0.0025 / 1.25 / n
      expect(errorPosterior(prior, Array(n).fill(record(0.1)), who).left).toBeCloseTo(run / (0.04 + run), 9)
    }
  })

  test('it goes from the prior towards the car’s own records as they come, and other cars’ count by what they share', () => {
    const own = [1, 2, 3, 5].map((n) => errorPosterior(prior, Array(n).fill(record(0.5)), who))
    own.reduce((before, now) => {
      expect(now.mean).toBeGreaterThan(before.mean)
      expect(now.left).toBeLessThan(before.left)
      return now
    })
    const of = (more: Partial<ErrorRecord>) => errorPosterior(prior, [record(0.5, more)], who).mean - 0.1
    const [sameCar, sameClass, sameSurface, elsewhere] = [
      of({}),
      of({ car: 'Wren' }),
      of({ car: 'Wren', carClass: '2wd' }),
      of({ surface: 'carpet' }),
    ]
    expect(sameCar).toBeGreaterThan(sameClass)
    expect(sameClass).toBeGreaterThan(sameSurface)
    expect(sameSurface).toBeGreaterThan(0)
    expect(elsewhere).toBe(0)
  })

  test('one bad record among five hardly moves it', () => {
    const good = [0.29, 0.31, 0.3, 0.3]
    const clean = errorPosterior(
      prior,
      good.map((x) => record(x)),
      who,
    )
    const spoilt = errorPosterior(
      prior,
      [...good, 1.6].map((x) => record(x)),
      who,
    )
    expect(Math.abs(spoilt.mean - clean.mean)).toBeLessThan(0.04)
    expect(spoilt.ownRecords).toBeLessThan(4.5)
  })

  test('a record that is no number is left out', () => {
    expect(errorPosterior(prior, [record(Number.NaN)], who).left).toBe(1)
  })

  test('on truths drawn from its own prior nine in ten lie within 1.645 deviations, after 0, 1, 3 and 5 records', () => {
    const { gauss } = drawsFrom(77)
    const p = errorPriors.charge
    for (const count of [0, 1, 3, 5]) {
      let held = 0
      const tries = 1500
      for (let i = 0; i < tries; i++) {
        const common = p.mean + Math.hypot(p.surface, p.carClass, p.car, p.inputs) * gauss()
        const runs = Array.from({ length: count + 1 }, () => common + p.run * gauss())
        const told = errorPosterior(
          p,
          runs.slice(0, count).map((x) => record(x)),
          who,
        )
        const whole = p.surface ** 2 + p.carClass ** 2 + p.car ** 2 + p.inputs ** 2
        const sd = Math.sqrt(told.left * whole + p.run ** 2)
        if (Math.abs((runs[count] ?? 0) - told.mean) <= 1.645 * sd) held++
      }
      expect(held / tries, `${count} records`).toBeGreaterThan(0.87)
      expect(held / tries, `${count} records`).toBeLessThan(0.93)
    }
  })
})

describe('widening by past predictions', () => {
  test('waits for enough of them, then widens by the rank of split conformal prediction, never narrows', () => {
    expect(conformalFactor(Array(leastPredictions - 1).fill(9))).toBe(1)
    expect(conformalFactor(Array(20).fill(0.5))).toBe(1)
    // The 9th smallest of nine: ceil(0.9 x 10).
    expect(conformalFactor([1, 1, 1, 1, 1, 1, 1, 1, 2 * z90])).toBeCloseTo(2, 9)
  })

  test('brings back nine in ten where the deviation was told by half', () => {
    const { gauss } = drawsFrom(5)
    const factor = conformalFactor(Array.from({ length: 60 }, () => Math.abs(2 * gauss())))
    let held = 0
    for (let i = 0; i < 2000; i++) if (Math.abs(2 * gauss()) <= 1.645 * factor) held++
    expect(held / 2000).toBeGreaterThan(0.84)
  })
})
