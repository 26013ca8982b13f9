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

test('one direction known, the mirror image is not taken', () => {
  const s = trackSketch([straight(30), corner(5, 180, 'right'), straight(30), corner(5, 180)])
  expect(s?.gapM).toBeLessThan(1e-9)
  // A right turn goes down the page.
  expect((s?.box.y ?? 0) + (s?.box.height ?? 0)).toBeGreaterThan(9)
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

test('metres are taken as they are, and a name may begin like a unit', () => {
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
