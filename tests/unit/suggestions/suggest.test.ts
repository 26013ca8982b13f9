import fc from '../../support/fast-check'
import { describe, expect, test } from 'vitest'
import { parametersOf } from '@/lib/board'
import {
  compareCards,
  driveFigures,
  lapProjections,
  learnedError,
  valuesOf,
  withModelError,
  type ProjectionBasis,
  type RunRecordOf,
} from '@/lib/card'
import { changesOf, suggest, type Suggestion } from '@/lib/suggestions'
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

const effect = (s: Suggestion | undefined, key: string) => s?.effects.find((e) => e.key === key)

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
    const pinions = changes.filter((c) => c.parameterId === 'pinion')
    expect(pinions.some((c) => c.to > c.from)).toBe(true)
    expect(pinions.every((c) => (c.caution === 'can') === c.to > c.from)).toBe(true)
  })

  test('a longer gear is two teeth at most: the can is read before the next step', () => {
    const { changes } = setUp({ pinion: 20 })
    const pinions = changes.filter((c) => c.parameterId === 'pinion').map((c) => c.to)
    expect(Math.max(...pinions)).toBe(22)
    expect(Math.min(...pinions)).toBe(14)
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
    expect(first?.caution).toBeNull()
    const can = effect(first, 'canC')
    expect(can?.by).toBeLessThan(-2)
    expect(Math.abs(can?.by ?? 0)).toBeGreaterThan(can?.plusMinus ?? Infinity)
  })

  test('a cooler motor may cost 3% of a lap, and no more', () => {
    const { basis, changes } = setUp({ pinion: 36 })
    const hot = withCans(basis, 118)
    const [most] = changes.filter((c) => c.parameterId === 'pinion' && c.to < 36)
    const slow = { ...most!, to: 18, inputs: [{ id: 'pinion' as const, value: 18 }] }
    // By hand, what it would do: far cooler, and more than 3% slower.
    const lap = lapProjections(hot, false).figures.find((f) => f.id === 'lapsDone')?.value ?? 0
    const shorter = basis.inputs.map((i) => (i.id === 'pinion' ? { ...i, value: 18 } : i))
    const slowLap = lapProjections({ ...hot, inputs: shorter }, false).figures.find(
      (f) => f.id === 'lapsDone',
    )
    expect(lap / (slowLap?.value ?? 0)).toBeGreaterThan(1.05)
    expect(suggest(hot, [slow])).toEqual([])
    expect(suggest(hot, changes)).not.toEqual([])
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
    expect(first?.change.to).toBe(19)
    const lap = effect(first, 'meanLapS')
    expect(lap?.by).toBeLessThan(-(lap?.plusMinus ?? Infinity))
  })

  test('a gain within its own ± is none', () => {
    // One tooth longer gains here, by less than its own ±; two teeth by more than theirs.
    const { basis, changes } = setUp({ pinion: 22 })
    const cool = withCans(basis, 55)
    const to = (teeth: number) => changes.filter((c) => c.parameterId === 'pinion' && c.to === teeth)
    const lap = compareCards(cool, {
      ...cool,
      inputs: cool.inputs.map((i) => (i.id === 'pinion' ? { ...i, value: 23 } : i)),
    }).differences.find((d) => d.key === 'meanLapS')
    const gain = (lap?.today ?? 0) - (lap?.trial ?? 0)
    expect(gain).toBeGreaterThan(0.78 * (lap?.plusMinus ?? Infinity))
    expect(gain).toBeLessThan(lap?.plusMinus ?? 0)
    expect(suggest(cool, to(23))).toEqual([])
    expect(suggest(cool, to(24))).toHaveLength(1)
  })

  test('a longer gear that heats the can is offered with the caution, whatever else it brings', () => {
    const { basis, changes } = setUp({ pinion: 20 })
    const [first] = suggest(withCans(basis, 70), changes)
    expect(first?.change.to).toBe(22)
    expect(effect(first, 'canC')?.by).toBeGreaterThan(0)
    expect(first?.caution).toBe('can')
    // As projected, also where the change says nothing of it by itself.
    const plain = changes.map((c) => ({ ...c, caution: null }))
    expect(suggest(withCans(basis, 70), plain)[0]?.caution).toBe('can')
  })

  test('nothing faster is offered where the pack would come home with less than 15% of its charge, or empty', () => {
    const { basis, changes } = setUp({ pinion: 17 })
    const left = (b: ProjectionBasis) =>
      lapProjections(b, false).figures.find((f) => f.id === 'chargeLeft')?.value
    const emptied = (capacityMah: number, putBackMah: number): ProjectionBasis => ({
      ...basis,
      inputs: basis.inputs.map((i) => (i.id === 'capacityMah' ? { ...i, value: capacityMah } : i)),
      records: withCans(basis, 55).records.map((r) => ({ ...r, measured: { ...r.measured, putBackMah } })),
    })
    expect(suggest(emptied(3000, 700), changes)).toHaveLength(1)
    const low = emptied(700, 700)
    expect(left(low)).toBeGreaterThan(0)
    expect(left(low)).toBeLessThan(15)
    expect(suggest(low, changes)).toEqual([])
    const empty = emptied(1300, 1700)
    expect(left(empty)).toBe(0)
    expect(suggest(empty, changes)).toEqual([])
  })

  test('a change with which the cutoff ends the race is none, however fast its laps are', () => {
    const { basis, changes } = setUp({ pinion: 17 })
    const set = (id: string, value: number, b = basis): ProjectionBasis => ({
      ...b,
      inputs: b.inputs.map((i) => (i.id === id ? { ...i, value } : i)),
    })
    const lowest = (pinion: number) => {
      const b = withCans(set('pinion', pinion), 55)
      const v = valuesOf(b)
      // As the card shows it: with what the runs taught, which is told of the card as it is.
      const error = learnedError(b, valuesOf(withCans(basis, 55)))
      return withModelError(driveFigures(b, v) ?? {}, v, error, b.raceSeconds)['lowV'] ?? Number.NaN
    }
    const [today, longer] = [lowest(17), lowest(19)]
    expect(longer).toBeLessThan(today)
    const two = changes.filter((c) => c.parameterId === 'pinion' && c.to === 19)
    expect(suggest(withCans(set('cutoffV', longer - 0.05), 55), two)).toHaveLength(1)
    expect(suggest(withCans(set('cutoffV', (today + longer) / 2), 55), two)).toEqual([])
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
