import { expect, test } from 'vitest'
import type { TrackSegment } from '@/lib/board'
import { trackSketch, walkedList } from '@/lib/card'

const straight = (lengthM: number): TrackSegment => ({ kind: 'straight', lengthM, grip: 1 })
const corner = (radiusM: number, arcDegrees: number, turn?: 'left' | 'right'): TrackSegment => ({
  kind: 'corner',
  radiusM,
  arcDegrees,
  grip: 1,
  ...(turn && { turn }),
})

test('a stadium closes: two straights, two half circles', () => {
  const s = trackSketch([straight(30), corner(5, 180, 'left'), straight(30), corner(5, 180, 'left')])
  expect(s?.gapM).toBeLessThan(1e-9)
  expect(s?.lengthM).toBeCloseTo(60 + 10 * Math.PI, 9)
  // Straight 30 m plus a half circle of radius 5 at either end; 10 m across.
  expect(s?.box.width).toBeCloseTo(40, 1)
  expect(s?.box.height).toBeCloseTo(10, 1)
  expect(s?.guessed).toBe(false)
})

test('corners that do not say which way they go are turned so that the lap closes', () => {
  // A stadium with a chicane: left and right by 90° cancel.
  const s = trackSketch([
    straight(20),
    corner(4, 180),
    straight(5),
    corner(3, 90),
    corner(3, 90),
    straight(9),
    corner(7, 180),
  ])
  expect(s?.guessed).toBe(true)
  expect(s?.gapM).toBeLessThan(0.01)
})

test('one direction known, the mirror image is refused', () => {
  const s = trackSketch([straight(30), corner(5, 180, 'right'), straight(30), corner(5, 180)])
  expect(s?.gapM).toBeLessThan(1e-9)
  // A right turn goes down the page.
  expect((s?.box.y ?? 0) + (s?.box.height ?? 0)).toBeGreaterThan(9)
})

/** A stadium with a chicane, all directions known; `by` puts a typo in. */
const chicane = (by: Record<number, Partial<TrackSegment>> = {}) =>
  [
    straight(20),
    corner(4, 180, 'left'),
    straight(5),
    corner(3, 90, 'right'),
    corner(3, 90, 'left'),
    straight(9),
    corner(7, 180, 'left'),
  ].map((s, i) => ({ ...s, ...by[i] }))
const hintsOf = (segments: TrackSegment[]) =>
  trackSketch(segments)?.hints.map((h) => [h.index, h.field, h.value]) ?? []

test('a lap that closes says so and has no hints; its sums are those of its pieces', () => {
  const s = trackSketch(chicane())
  expect(s).toMatchObject({ closes: true, hints: [], straights: 3, corners: 4, longestStraightM: 20 })
  expect(s?.headingOffDeg).toBeCloseTo(0, 9)
  expect(s?.lengthM).toBeCloseTo(34 + Math.PI * (4 + 1.5 + 1.5 + 7), 9)
})

test('a straight of 26 m typed as 62 m leaves a gap of 36 m, and the hints name it with 26 m', () => {
  const stadium = (first: number) => [
    straight(first),
    corner(5, 180, 'left'),
    straight(26),
    corner(5, 180, 'left'),
  ]
  const s = trackSketch(stadium(62))
  expect(s?.closes).toBe(false)
  expect(s?.gapM).toBeCloseTo(36, 9)
  expect(s?.end.x).toBeCloseTo(36, 9)
  // Of two parallel straights either may be the wrong one.
  expect(hintsOf(stadium(62))).toEqual(
    expect.arrayContaining([
      [0, 'lengthM', 26],
      [2, 'lengthM', 62],
    ]),
  )
  expect(hintsOf(stadium(62))).toHaveLength(2)
})

test('an arc of 180° typed as 80° leaves the end facing 100° elsewhere, and the hints name it', () => {
  const typo = chicane({ 6: { arcDegrees: 80 } })
  expect(trackSketch(typo)?.headingOffDeg).toBeCloseTo(-100, 9)
  expect(hintsOf(typo)).toContainEqual([6, 'arcDegrees', 180])
})

test('a radius and a direction that were mistaken are named too', () => {
  expect(hintsOf(chicane({ 6: { radiusM: 4 } }))).toContainEqual([6, 'radiusM', 7])
  expect(hintsOf(chicane({ 3: { turn: 'left' } }))).toContainEqual([3, 'turn', 'right'])
})

test('two mistakes at once are not explained by one', () => {
  expect(hintsOf(chicane({ 0: { lengthM: 60 }, 3: { radiusM: 20 } }))).toEqual([])
})

test('a lap that ends at its start but faces elsewhere does not close', () => {
  const s = trackSketch([corner(5, 180, 'left'), corner(5, 170, 'left')])
  expect(s?.closes).toBe(false)
  expect(s?.headingOffDeg).toBeCloseTo(-10, 9)
})

test('twenty corners of unknown direction are still turned so that a lap of alternating esses closes', () => {
  const esses = Array.from({ length: 8 }, () => corner(2, 30))
  const half = [straight(10), ...esses, corner(4, 180)]
  const s = trackSketch([...half, ...half, corner(2, 20), corner(2, 20)])
  expect(s?.corners).toBe(20)
  expect(s?.gapM).toBeLessThan(3)
  expect(Math.abs(s?.headingOffDeg ?? 180)).toBeLessThan(45)
})

test('a piece without its measures can’t be drawn', () => {
  expect(trackSketch([])).toBeNull()
  expect(trackSketch([{ kind: 'corner', arcDegrees: 90, grip: 1 }])).toBeNull()
})

test('a walked list becomes straights and corners, with names, grip and direction', () => {
  const w = walkedList(
    '# walked at noon\n50 Long straight\n12,5 left 180 Hairpin\n\n20 grip 0.9 Triple\n9 right 90°',
    0.8,
  )
  expect(w.problems).toEqual([])
  expect(w.segments).toEqual([
    { kind: 'straight', lengthM: 40, grip: 1, name: 'Long straight' },
    // 12.5 paces of 0.8 m are 10 m of arc: radius 10 / pi.
    { kind: 'corner', radiusM: 3.18, arcDegrees: 180, turn: 'left', grip: 1, name: 'Hairpin' },
    { kind: 'straight', lengthM: 16, grip: 0.9, name: 'Triple' },
    { kind: 'corner', radiusM: 4.58, arcDegrees: 90, turn: 'right', grip: 1 },
  ])
  expect(w.turnSumDeg).toBe(90)
})

test('meters are taken as they are, and a name may begin like a unit', () => {
  const w = walkedList('38 m Mound\n24 Middle', 1)
  expect(w.segments.map((s) => [s.lengthM, s.name])).toEqual([
    [38, 'Mound'],
    [24, 'Middle'],
  ])
})

test('every line that can’t be read is named by its number, and nothing is taken', () => {
  const w = walkedList('30\nHairpin\n10 left 400\n900\n10 left 5 grip 9\n20 left 2', 1)
  expect(w.segments).toEqual([])
  expect(w.problems.map((p) => p.field)).toEqual(['Line 2', 'Line 3', 'Line 4', 'Line 5', 'Line 6'])
  expect(w.problems.every((p) => p.remedy.length > 0)).toBe(true)
  expect(walkedList('', 1)).toMatchObject({ segments: [], problems: [] })
})
