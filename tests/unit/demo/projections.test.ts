import { beforeAll, expect, test } from 'vitest'
import { buildDemo } from '@/demo/seed'
import { BoardReading, type BoardView } from '@/lib/board'
import {
  lapProjections,
  nextRunOf,
  projectionBasis,
  runsOf,
  trackLap,
  trackSketch,
  type Projection,
  type ProjectionBasis,
} from '@/lib/card'

const NOW = Date.UTC(2026, 8, 12, 11, 4, 31)
let view: BoardView
let bases: Map<string, ProjectionBasis>
beforeAll(() => {
  const boards = buildDemo(NOW)
  view = new BoardReading({ kit: boards.kit, meeting: boards.today }).view()
  const runs = runsOf(view, NOW)
  bases = new Map(view.cars.live.map((c) => [c.id, projectionBasis(view, c.id, nextRunOf(runs, c.id))]))
})

const figures = (id: string): [car: string, figure: Projection][] =>
  [...bases].flatMap(([car, basis]) =>
    lapProjections(basis, false)
      .figures.filter((f) => f.id === id)
      .map((f): [string, Projection] => [car, f]),
  )

test('the track closes as drawn, without a guess at its corners’ directions', () => {
  const sketch = trackSketch(bases.get('rook')?.segments ?? [])
  expect(sketch).toMatchObject({ closes: true, guessed: false, hints: [] })
  expect(sketch?.gapM).toBeLessThan(0.1)
})

test('the grip is the one that the measured lap says', () => {
  const rook = bases.get('rook')
  const track = view.tracks.live[0]
  if (!rook || !track?.measuredLapS || !track.grip) throw new Error('the demo has no Rook or no measured lap')
  const { fit } = trackLap(rook, track.measuredLapS)
  expect(typeof fit === 'object' && fit !== null && Math.abs(fit.grip - track.grip)).toBeLessThan(0.01)
})

test('turbo fires on some straights of every car, and on none of them everywhere', () => {
  const fires = figures('turbo').map(([, f]) => f.value ?? 0)
  const straights = bases.get('rook')?.segments?.filter((s) => s.kind === 'straight').length ?? 0
  expect(fires).toHaveLength(8)
  expect(Math.min(...fires)).toBeGreaterThan(0)
  expect(Math.max(...fires)).toBeLessThan(straights)
  expect(new Set(fires).size).toBeGreaterThan(1)
})

test('cans end warm, and none is projected past where the trade stops', () => {
  for (const [car, f] of figures('can')) {
    expect(f.value, car).toBeGreaterThan(50)
    expect(f.value, car).toBeLessThan(95)
  }
})
