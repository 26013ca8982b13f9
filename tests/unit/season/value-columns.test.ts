import fc from '../../support/fast-check'
import { expect, test } from 'vitest'
import { columnsOf, valuesIn } from '@/lib/season'

test('values by run, by value and by run again are the same, kept as JSON in between', () => {
  const value = fc.oneof(
    fc.integer({ min: -3, max: 3 }),
    fc.constantFrom('soft', 'hard', '1', 'true'),
    fc.boolean(),
    fc.constantFrom(0.1, 82.6),
  )
  const values = fc.dictionary(fc.constantFrom('pinion', 'spur', 'esc.turbo', '1'), value)
  fc.assert(
    fc.property(fc.array(values, { maxLength: 12 }), (runs) => {
      const kept = JSON.parse(JSON.stringify(columnsOf(runs))) as ReturnType<typeof columnsOf>
      const back = valuesIn(kept)
      expect(runs.map((_, n) => back(n))).toEqual(runs.map((r) => ({ ...r })))
      expect(back(runs.length)).toEqual({})
    }),
    { numRuns: 300 },
  )
})
