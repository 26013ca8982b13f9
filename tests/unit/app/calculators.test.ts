import fc from '../../support/fast-check'
import { expect, test } from 'vitest'
import { answerOf } from '@/app/tools/calculator'
import { CALCULATORS } from '@/app/tools/calculators'

const exampleOf = (calc: (typeof CALCULATORS)[number]) =>
  Object.fromEntries(calc.inputs.map((i) => [i.id, i.example]))

test.each(CALCULATORS.map((c) => [c.title, c] as const))(
  '%s: every example lies in its ranges, and an empty field is asked for',
  (_, calc) => {
    for (const i of calc.inputs) {
      const answer = answerOf(calc, { ...exampleOf(calc), [i.id]: null })
      if (i.isOptional) expect(answer.kind, i.label).toBe('results')
      else expect(answer).toEqual({ kind: 'incomplete', missing: [i.label] })
      if (i.example === null) continue
      expect(i.example, i.label).toBeGreaterThanOrEqual(i.min)
      expect(i.example, i.label).toBeLessThanOrEqual(i.max)
    }
    expect(calc.inputs.every((i) => i.isOptional || i.example !== null)).toBe(true)
  },
)

test.each(CALCULATORS.map((c) => [c.title, c] as const))(
  '%s: the ends of the ranges give answers or reasons, never NaN',
  (_, calc) => {
    for (const i of calc.inputs)
      for (const value of [i.min, i.max]) {
        const answer = answerOf(calc, { ...exampleOf(calc), [i.id]: value })
        if (answer.kind === 'results')
          for (const r of answer.results.filter((x) => typeof x.value === 'number'))
            expect(Number.isFinite(r.value), `${i.label} ${value}: ${r.label}`).toBe(true)
        else expect(JSON.stringify(answer)).not.toContain('NaN')
      }
  },
)

test('a charge backwards is refused in the calculator’s own words', () => {
  const charge = CALCULATORS.find((c) => c.id === 'charge-time')!
  const answer = answerOf(charge, { ...exampleOf(charge), from: 80, to: 50 })
  if (answer.kind !== 'refused') throw new Error(answer.kind)
  expect(answer.refusal).toMatchObject({ field: 'To', value: '50' })
  expect(answer.refusal.remedy).toContain('80 to 100%')
})

test.each(CALCULATORS.map((c) => [c.title, c] as const))(
  '%s: whatever stands in the fields, an answer is finite and a refusal names a field of this calculator',
  (_, calc) => {
    const labels = calc.inputs.map((i) => i.label)
    const values = fc.record(
      Object.fromEntries(
        calc.inputs.map((i) => [
          i.id,
          fc.oneof(
            i.step === 1
              ? fc.integer({ min: i.min, max: i.max })
              : fc.double({ min: i.min, max: i.max, noNaN: true }),
            fc.constantFrom(i.min, i.max, ...(i.isOptional ? [null] : [])),
          ),
        ]),
      ),
    )
    fc.assert(
      fc.property(values, (v) => {
        const answer = answerOf(calc, v)
        if (answer.kind === 'results')
          for (const r of answer.results)
            expect(typeof r.value === 'string' || Number.isFinite(r.value), r.label).toBe(true)
        else if (answer.kind === 'refused') expect(labels).toContain(answer.refusal.field)
        else expect(answer.kind).toBe('none')
      }),
      { numRuns: 300 },
    )
  },
)

test('a pack’s energy says how a spare may fly, at the limits of 100 and 160 Wh', () => {
  const flight = CALCULATORS.find((c) => c.id === 'flight')!
  const travel = (volts: number, capacityMah: number) => {
    const answer = answerOf(flight, { volts, capacityMah })
    return answer.kind === 'results' && answer.results.find((r) => r.id === 'travel')?.value
  }
  expect(travel(10, 10_000)).toBe('carry-on')
  expect(travel(10, 10_010)).toBe('carry-on with approval')
  expect(travel(10, 16_000)).toBe('carry-on with approval')
  expect(travel(10, 16_010)).toBe('not carried')
})
