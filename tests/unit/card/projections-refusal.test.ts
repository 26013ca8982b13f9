import { expect, test } from 'vitest'
import { refusalOf } from '@/lib/card/projections/projections-refusal'
import type { ProjectionBasis } from '@/lib/card/projections/projections-basis'
import { RangeProblem } from '@/lib/setup-math'

const basis = {
  segments: [{ kind: 'corner', name: 'Hairpin' }],
  inputs: undefined,
} as unknown as ProjectionBasis
const refusalFor = (field: string) => refusalOf(new RangeProblem(field, 5, '1 to 2'), basis)

test.each([
  ['controller.boost.holdS', 'Hold s'],
  ['wheelInertiaKgM2', 'Wheel inertia kg m2'],
  ['track.segments[0].radiusM', 'Hairpin, radius'],
  ['track.segments[3].lengthM', 'Straight, place 4, length'],
])('%s is called %s', (field, name) =>
  expect(refusalFor(field)).toMatchObject({
    field: name,
    reason: 'is not possible',
    remedy: 'Must be 1 to 2.',
  }),
)

test('anything else is a defect and is thrown on', () => {
  const defect = new Error('not of the physics')
  expect(() => refusalOf(defect, basis)).toThrow(defect)
})
