import { expect, test } from 'vitest'
import { drive, valuesOf } from '@/lib/card'
import { figureSlopes } from '@/lib/card/projections/figure-slopes'
import { projectionBoard } from '../../support/projection-board'

test('where the car can drive on one side only, that side’s slope counts whole', () => {
  const basis = projectionBoard().basis()
  const values = valuesOf(basis)
  const driven = drive(basis, values)
  if (typeof driven === 'string') throw new Error(driven)
  const mass = values.massG ?? Number.NaN
  const perGram = (sd: number) => {
    const inputs = basis.inputs.map((i) => (i.id === 'massG' ? { ...i, sd } : i))
    const slopes = figureSlopes({ ...basis, inputs }, values, driven)
    return (slopes?.lasting.lap['massG'] ?? Number.NaN) / sd
  }
  // A car 5% lighter than nothing can't drive; one with twice the mass can, and its lap is not far from where a line through small steps has it.
  const both = perGram(0.2 * mass)
  expect(both).toBeGreaterThan(0)
  expect(perGram(1.05 * mass) / both).toBeGreaterThan(0.9)
  expect(perGram(1.05 * mass) / both).toBeLessThan(1.3)
})
