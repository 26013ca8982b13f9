import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { parametersOf } from '@/lib/board'
import { lapProjections, type ProjectionBasis, type RunRecordOf } from '@/lib/card'
import { changesOf, suggest } from '@/lib/suggestions'
import { projectionBoard } from '../../support/projection-board'

const setUp = (card: Record<string, number> = {}) => {
  const b = projectionBoard({ card })
  const basis = b.basis()
  return { ...b, basis, changes: changesOf(b.view(), b.carId, basis) }
}
/** Three runs after which the can was read. */
const withCans = (basis: ProjectionBasis, canC: number): ProjectionBasis => ({
  ...basis,
  records: [0, 1, 2].map((i): RunRecordOf => ({
    runId: `r${i}`,
    at: i,
    inputs: {},
    measured: { canC: canC + i },
  })),
})

describe('changes that are looked at', () => {
  test('stay within the card’s ranges, on its steps, and never touch the cutoff or end points', () => {
    const { view, carId, changes, dials } = setUp()
    const parameters = new Map(parametersOf(view(), carId).map((p) => [p.id, p]))
    expect(new Set(changes.map((c) => c.parameterId))).toEqual(
      new Set(['pinion', `esc.${dials.turbo}`, `esc.${dials.delay}`]),
    )
    for (const c of changes) {
      const p = parameters.get(c.parameterId)
      expect(c.to).not.toBe(c.from)
      expect(c.to).toBeGreaterThanOrEqual(p?.min ?? -Infinity)
      expect(c.to).toBeLessThanOrEqual(p?.max ?? Infinity)
      expect(Math.abs((c.to - c.from) / (p?.step ?? 1)) % 1).toBeCloseTo(0, 6)
    }
  })

  test('say where they make the motor hotter by themselves', () => {
    const { changes, dials } = setUp()
    const of = (id: string) => changes.filter((c) => c.parameterId === `esc.${id}`)
    expect(of(dials.turbo).every((c) => (c.caution === 'can') === c.to > c.from)).toBe(true)
    expect(of(dials.delay).every((c) => (c.caution === 'can') === c.to < c.from)).toBe(true)
  })

  test('where the class forbids dynamic timing only the gearing is left', () => {
    const b = setUp()
    const forbidden = { ...b.basis, limits: { ...b.basis.limits, dynamicTimingAllowed: false } }
    expect(changesOf(b.view(), b.carId, forbidden).every((c) => c.parameterId === 'pinion')).toBe(true)
  })
})

describe('suggestions', () => {
  test('a motor that was read hot gets a cooler change whose effect is more than its ±, with the runs it rests on', () => {
    const { basis, changes } = setUp({ pinion: 36 })
    const hot = withCans(basis, 118)
    const [first] = suggest(hot, changes)
    expect(first?.aim).toBe('cooler')
    expect(first?.runs).toBe(3)
    expect(first?.change.caution).toBeNull()
    const can = first?.effects.find((e) => e.key === 'canC')
    expect(can?.by).toBeLessThan(-2)
    expect(Math.abs(can?.by ?? 0)).toBeGreaterThan(0.75 * (can?.plusMinus ?? Infinity))
  })

  test('a cool car that is geared as it should be gets none: nothing to suggest is an answer', () => {
    const { basis, changes } = setUp({ pinion: 40 })
    const cool = withCans(basis, 62)
    expect(lapProjections(cool, false).figures.find((f) => f.id === 'can')?.value).toBeLessThan(80)
    expect(suggest(cool, changes)).toEqual([])
  })

  test('a car that is geared far too short is told a longer gear, faster by more than its ±', () => {
    const { basis, changes } = setUp({ pinion: 17 })
    const [first] = suggest(withCans(basis, 55), changes)
    expect(first?.aim).toBe('faster')
    expect(first?.change.to).toBeGreaterThan(17)
    expect(first?.effects.find((e) => e.key === 'meanLapS')?.by).toBeLessThan(0)
  })

  test('without gearing, track or changes there is nothing to work on', () => {
    const { basis, changes } = setUp()
    expect(suggest({ ...basis, segments: null }, changes)).toEqual([])
    expect(suggest(basis, [])).toEqual([])
    expect(suggest({ ...basis, lacks: [{ what: 'a pinion on the card', place: 'card' }] }, changes)).toEqual(
      [],
    )
  })

  test('the order of the changes does not matter', () => {
    const { basis, changes } = setUp({ pinion: 36 })
    const hot = withCans(basis, 118)
    const told = suggest(hot, changes)
    fc.assert(
      fc.property(fc.shuffledSubarray(changes, { minLength: changes.length }), (shuffled) => {
        expect(suggest(hot, shuffled)).toEqual(told)
      }),
      { numRuns: 3 },
    )
  })
})
