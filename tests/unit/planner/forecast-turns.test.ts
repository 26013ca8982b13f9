import { expect, it } from 'vitest'
import {
  drawOrder,
  forecastFrom,
  forecastRunningOrder,
  orderQuestion,
  type ForecastHeat,
} from '@/lib/planner'
import fc from '../../support/fast-check'

const T0 = Date.UTC(2031, 4, 17, 8, 0)
const SECOND = 1000
const SLOT = 480 * SECOND

/** A day up to a moment: most stamps there, some missed, some plans without a time, a break here and there. */
const dayArb = fc
  .array(
    fc.record({
      late: fc.integer({ min: -20, max: 200 }),
      stamped: fc.boolean(),
      finish: fc.option(fc.integer({ min: -700, max: 400 }), { nil: null }),
      timed: fc.integer({ min: 0, max: 9 }),
      breakBefore: fc.option(fc.boolean(), { nil: undefined }),
    }),
    { minLength: 1, maxLength: 20 },
  )
  .chain((rows) => fc.record({ rows: fc.constant(rows), done: fc.integer({ min: 0, max: rows.length }) }))
  .map(({ rows, done }) =>
    rows.map((row, i): ForecastHeat => {
      const startedAt = i < done && row.stamped ? T0 + i * SLOT + row.late * SECOND : null
      return {
        id: `h${i}`,
        round: 'Q1',
        plannedStart: row.timed === 0 ? null : T0 + i * SLOT,
        raceSeconds: 300,
        startedAt,
        finishedAt:
          startedAt === null || row.finish === null ? null : startedAt + (300 + row.finish) * SECOND,
        ...(row.breakBefore === undefined ? {} : { breakBefore: row.breakBefore }),
      }
    }),
  )

it('while the clock turns and nobody stamps, the question stays the same, and what was drawn for it gives the forecast of a fresh look', () => {
  fc.assert(
    fc.property(dayArb, fc.array(fc.integer({ min: 1, max: 900 }), { maxLength: 4 }), (heats, steps) => {
      const stamps = heats.flatMap((h) => [h.startedAt ?? 0, h.finishedAt ?? 0])
      // A day without a stamp whose first heat has no time begins now, whenever that is.
      fc.pre(stamps.some((s) => s > 0) || heats[0]?.plannedStart !== null)
      let now = Math.max(T0, ...stamps)
      const question = orderQuestion({ heats, now })
      const drawn = drawOrder(question)
      for (const step of steps) {
        now += step * SECOND
        expect(orderQuestion({ heats, now })).toEqual(question)
        expect(forecastFrom(question, drawn, { heats, now })).toEqual(forecastRunningOrder({ heats, now }))
      }
    }),
    { numRuns: 40 },
  )
})

it('a stamp of a clock that runs ahead is another question once it can be true', () => {
  const heats = [0, 1, 2].map((i): ForecastHeat => ({
    id: `h${i}`,
    round: 'Q1',
    plannedStart: T0 + i * SLOT,
    raceSeconds: 300,
    startedAt: i < 2 ? T0 + i * SLOT : null,
  }))
  const early = orderQuestion({ heats, now: T0 + 60 * SECOND })
  const later = orderQuestion({ heats, now: T0 + SLOT })
  expect(early.seen.doubted).toEqual(['h1'])
  expect(later.seen.doubted).toEqual([])
  expect(later).not.toEqual(early)
})
