import fc from '../../support/fast-check'
import { expect, test } from 'vitest'
import { axisTicks, everyNth, spreadApart, withoutOverlap } from '@/app/ui/axis-ticks'
import { overlap, placeLabels, type LabelWish } from '@/app/ui/place-labels'

const wide = (text: string) => 8 * text.length

test('round steps, in order, both ends within: 0 to 47 on 400 px', () => {
  const ticks = axisTicks({ from: 0, to: 47, room: 400, sizeOf: wide })
  expect(ticks.map((t) => t.value)).toEqual([0, 5, 10, 15, 20, 25, 30, 35, 40, 45])
  // Arithmetic: 45 of 47 on 400 px.
  expect(ticks.at(-1)?.at).toBeCloseTo((45 / 47) * 400, 9)
})

test('heats and laps are whole', () => {
  expect(axisTicks({ from: 1, to: 3, room: 4000, sizeOf: wide, isWhole: true }).map((t) => t.text)).toEqual([
    '1',
    '2',
    '3',
  ])
})

test('decimals as the step has, and a true minus', () => {
  const ticks = axisTicks({ from: -0.4, to: 0.4, room: 300, sizeOf: wide })
  expect(ticks.map((t) => t.text)).toContain('−0.2')
  expect(ticks.map((t) => t.text)).toContain('0.0')
})

test('no span, no room: no marks', () => {
  expect(axisTicks({ from: 3, to: 3, room: 300, sizeOf: wide })).toEqual([])
  expect(axisTicks({ from: 0, to: 3, room: 0, sizeOf: wide })).toEqual([])
})

const axis = fc
  .tuple(
    fc.double({ min: -1e5, max: 1e5, noNaN: true }),
    fc.double({ min: 1e-3, max: 1e6, noNaN: true }),
    fc.integer({ min: 40, max: 2000 }),
    fc.integer({ min: 6, max: 30 }),
  )
  .map(([from, span, room, letter]) => ({ from, to: from + span, room, letter }))

test('labels never touch, whatever the axis, the room and the letter', () => {
  fc.assert(
    fc.property(axis, ({ from, to, room, letter }) => {
      const sizeOf = (text: string) => letter * text.length
      const ticks = axisTicks({ from, to, room, sizeOf })
      for (const [i, t] of ticks.entries()) {
        expect(t.at).toBeGreaterThanOrEqual(-1e-6 * room)
        expect(t.at).toBeLessThanOrEqual(room * (1 + 1e-6))
        const before = ticks[i - 1]
        if (before) expect(t.at - sizeOf(t.text) / 2).toBeGreaterThan(before.at + sizeOf(before.text) / 2)
      }
    }),
    { numRuns: 500 },
  )
})

test('an axis with room for many labels has at least three', () => {
  fc.assert(
    fc.property(axis, ({ from, to }) => {
      expect(axisTicks({ from, to, room: 2000, sizeOf: () => 60 }).length).toBeGreaterThanOrEqual(3)
    }),
    { numRuns: 300 },
  )
})

test('of names in a row the first stay, and none touches another', () => {
  const places = fc.array(fc.tuple(fc.integer({ min: 0, max: 800 }), fc.integer({ min: 5, max: 200 })), {
    maxLength: 30,
  })
  fc.assert(
    fc.property(places, (all) => {
      const labels = all.map(([at, size]) => ({ at, size })).sort((a, b) => a.at - b.at)
      const kept = withoutOverlap(labels, (l) => l.size)
      if (labels.length > 0) expect(kept[0]).toBe(labels[0])
      for (const [i, l] of kept.entries()) {
        const before = kept[i - 1]
        if (before) expect(l.at - l.size / 2).toBeGreaterThan(before.at + before.size / 2)
      }
    }),
  )
})

test('of many heats every second, fifth, tenth ... is named', () => {
  const heats = Array.from({ length: 40 }, (_, i) => ({ at: 7 * i, name: String(i + 1) }))
  expect(everyNth(heats, (h) => wide(h.name)).map((h) => h.name)).toEqual([
    '1',
    '6',
    '11',
    '16',
    '21',
    '26',
    '31',
    '36',
  ])
  expect(everyNth(heats.slice(0, 1), () => 500)).toHaveLength(1)
})

test('labels of ends that meet are moved apart, in their order, and stay where they are otherwise', () => {
  expect(spreadApart([10, 40], 12)).toEqual([10, 40])
  expect(spreadApart([41, 40], 12)).toEqual([52, 40])
})

test('no name stands where another part of the line is nearer than its own', () => {
  const wish: LabelWish = { x: 50, y: 50, outX: 0, outY: 1, width: 30, height: 10, of: 0 }
  const within = { x: 0, y: 0, width: 200, height: 100 }
  const own = { x: 50, y: 50, of: 0 }
  expect(placeLabels([wish], { within, points: [own], clear: 2 })[0]?.y).toBeGreaterThan(50)
  // Other parts close by on either side of where it would stand.
  const others = [72, 28].map((y) => ({ x: 70, y, of: 1 }))
  expect(placeLabels([wish], { within, points: [own, ...others], clear: 2 })).toEqual([null])
})

test('names beside a line lie on no other name, not on the line, and within the picture', () => {
  const within = { x: 0, y: 0, width: 400, height: 300 }
  const wish = fc
    .record({
      x: fc.integer({ min: 0, max: 400 }),
      y: fc.integer({ min: 0, max: 300 }),
      angle: fc.double({ min: 0, max: 2 * Math.PI, noNaN: true }),
      width: fc.integer({ min: 10, max: 160 }),
    })
    .map(({ x, y, angle, width }): LabelWish => ({
      x,
      y,
      outX: Math.cos(angle),
      outY: Math.sin(angle),
      width,
      height: 17,
    }))
  let placed = 0
  fc.assert(
    fc.property(fc.array(wish, { maxLength: 20 }), (wishes) => {
      const points = wishes.map(({ x, y }) => ({ x, y }))
      const boxes = placeLabels(wishes, { within, points, clear: 6 }).flatMap((b) => b ?? [])
      placed += boxes.length
      for (const [i, b] of boxes.entries()) {
        expect(b.x).toBeGreaterThanOrEqual(0)
        expect(b.x + b.width).toBeLessThanOrEqual(400)
        for (const p of points) expect(overlap(b, { ...p, width: 0.01, height: 0.01 })).toBe(false)
        for (const other of boxes.slice(0, i)) expect(overlap(b, other)).toBe(false)
      }
    }),
    { numRuns: 200 },
  )
  expect(placed).toBeGreaterThan(200)
})
