import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus'
import { expect, it } from 'vitest'
import { drawLaw, inOrder, weightedQuantiles, weightsFrom } from '@/lib/planner/forecast/gap-sampler'
import fc from '../../support/fast-check'

/** Starts in ms since the epoch, close to each other and alike, and gaps in seconds on both sides of 0. */
const drawn = fc.oneof(
  fc.array(fc.oneof(fc.constantFrom(0, 0.25, 1), fc.double({ min: 0, max: 90, noNaN: true })), {
    minLength: 1,
    maxLength: 600,
  }),
  fc.array(fc.double({ min: -900, max: 900, noNaN: true }), { minLength: 1, maxLength: 600 }),
)

it('what was drawn stands in the order of its values, each replicate once', () => {
  fc.assert(
    fc.property(drawn, fc.constantFrom(0, 1.789e12), (numbers, from) => {
      const values = Float64Array.from(numbers, (v) => from + v)
      const { order } = inOrder(values)
      expect([...order].sort((a, b) => a - b)).toEqual([...values.keys()])
      expect(Array.from(order, (i) => values[i])).toEqual([...values].sort((a, b) => a - b))
    }),
  )
  expect(inOrder(new Float64Array(1024)).order).toHaveLength(1024)
  expect(() => inOrder(new Float64Array(1025))).toThrow(RangeError)
})

it('what is passed over takes as many random numbers as what is drawn', () => {
  const atoms = [
    { value: 5, weight: 0.4 },
    { value: 60, weight: 2 },
  ]
  const rests = [true, false].map((passes) => {
    const rng = xoroshiro128plus(7)
    const law = drawLaw(rng, atoms, 6)
    for (let n = 0; n < 5; n++)
      if (passes) law.passOver(rng)
      else law.sample(rng)
    return law.sample(rng)
  })
  expect(rests[0]).toBe(rests[1])
  expect(rests[0]).not.toBeNaN()
})

it('a quantile is the least of what was drawn that as much weight lies at or below, whether the weights are even or not', () => {
  const probabilities = [0.05, 0.5, 0.95]
  fc.assert(
    fc.property(drawn, fc.constantFrom(1, 0.3, 0.05), fc.nat(600), (numbers, rate, begun) => {
      const values = Float64Array.from(numbers)
      // Sums of such weights would differ by rounding with their order: whole numbers don't.
      const weights = Float64Array.from(numbers, (_, i) => (i < begun ? rate * 100 : 100))
      const total = weights.reduce((s, w) => s + w, 0)
      const wanted = probabilities.map((p) =>
        [...values]
          .sort((a, b) => a - b)
          .find((v) => weights.reduce((s, w, i) => s + ((values[i] ?? 0) <= v ? w : 0), 0) >= p * total),
      )
      expect(weightedQuantiles(inOrder(values), weightsFrom(weights), probabilities)).toEqual(wanted)
      const even = weightsFrom(new Float64Array(values.length).fill(1))
      const least = probabilities.map(
        (p) => [...values].sort((a, b) => a - b)[Math.ceil(p * values.length) - 1],
      )
      expect(even.areEven).toBe(true)
      expect(weightedQuantiles(inOrder(values), even, probabilities)).toEqual(least)
    }),
  )
})
