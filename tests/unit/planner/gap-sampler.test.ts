import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus'
import { expect, it } from 'vitest'
import { drawLaw, inOrder } from '@/lib/planner/forecast/gap-sampler'
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
