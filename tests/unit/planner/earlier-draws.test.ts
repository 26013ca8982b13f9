import { expect, test } from 'vitest'
import {
  comingHeats,
  drawOrder,
  earlierDraws,
  forecastFrom,
  orderQuestion,
  type ForecastHeat,
} from '@/lib/planner'

const T0 = Date.UTC(2031, 4, 17, 8)
const SLOT = 480_000
const day = (stamps: readonly number[], ids = ['h0', 'h1', 'h2', 'h3', 'h4']): ForecastHeat[] =>
  ids.map((id, i) => ({
    id,
    round: 'Q1',
    plannedStart: T0 + i * SLOT,
    raceSeconds: 300,
    startedAt: stamps[i] ?? null,
  }))
const ask = (heats: ForecastHeat[], now: number) => orderQuestion({ heats, now })

test('the draws of a question that has become one heat shorter, each still at its heat', () => {
  const now = T0 + SLOT + 30_000
  const before = ask(day([T0]), now)
  const drawn = drawOrder(before)
  const heats = day([T0, T0 + SLOT + 20_000])
  const after = ask(heats, now)
  const taken = earlierDraws(after, before, drawn)
  expect(comingHeats(before).map((l) => l.heat.id)).toEqual(['h1', 'h2', 'h3', 'h4'])
  expect(comingHeats(after).map((l) => l.heat.id)).toEqual(['h2', 'h3', 'h4'])
  expect(taken?.starts).toEqual(drawn.starts.slice(1))
  expect(taken?.gapMeans).toBe(drawn.gapMeans)
  // The stamp stands; those to come stand where they were expected.
  const rows = forecastFrom(after, taken!, { heats, now }).heats
  const former = forecastFrom(before, drawn, { heats: day([T0]), now }).heats
  expect(rows[1]).toMatchObject({ id: 'h1', stage: 'running', expectedStart: T0 + SLOT + 20_000 })
  expect(rows.slice(2).map((h) => [h.stage, h.expectedStart])).toEqual(
    former.slice(2).map((h) => ['coming', h.expectedStart]),
  )
})

test('they say nothing where the plan is another one', () => {
  const before = ask(day([T0]), T0 + 60_000)
  const drawn = drawOrder(before)
  const moved = day([T0]).map((h, i) =>
    i < 3 ? h : { ...h, plannedStart: (h.plannedStart ?? 0) + 1_800_000 },
  )
  const shorter = day([T0]).map((h, i) => (i < 4 ? h : { ...h, raceSeconds: 240 }))
  const swapped = day([T0], ['h0', 'h2', 'h1', 'h4', 'h3'])
  const without = day([T0]).map((h, i) => (i === 2 ? { ...h, dropped: true } : h))
  for (const heats of [moved, shorter, swapped, without])
    expect(earlierDraws(ask(heats, T0 + 60_000), before, drawn)).toBeUndefined()
  expect(earlierDraws(ask(day([T0]), T0 + 60_000), before, drawn)?.starts).toEqual(drawn.starts)
})

test('they say nothing where a heat is new, or is to come again', () => {
  const before = ask(day([T0]), T0 + 60_000)
  const drawn = drawOrder(before)
  expect(
    earlierDraws(ask(day([T0], ['h0', 'h1', 'new', 'h2', 'h3']), T0 + 60_000), before, drawn),
  ).toBeUndefined()
  expect(earlierDraws(ask(day([]), T0 + 60_000), before, drawn)).toBeUndefined()
})

test('a day that has become over asks for none', () => {
  const before = ask(day([T0], ['h0', 'h1']), T0 + 60_000)
  const after = ask(day([T0, T0 + SLOT], ['h0', 'h1']), T0 + SLOT)
  expect(earlierDraws(after, before, drawOrder(before))?.starts).toEqual([])
})
