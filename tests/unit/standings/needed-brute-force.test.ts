import fc from '../../support/fast-check'
import { describe, expect, test } from 'vitest'
import { neededFor, seriesTable, type DriverResult, type Series } from '@/lib/standings'
import { compareMeetings, compareNeeded, RACE_S, STEPS } from '@/tests/support/compare-needed'
import { smallSeries } from '@/tests/support/random-series'
import { placesByHand } from '@/tests/support/standings-by-hand'

describe('what is needed, against going through everything by hand', () => {
  test.each([
    ['meetings, laps and times', 'result', 20260912],
    ['finals, places in the legs that are left', 'place', 20260913],
  ] as const)(
    '500 random small %s: equal in all',
    (_name, by, seed) => {
      const seen = compareMeetings(by, 500, seed)
      // The draw has all kinds of answers in it.
      const of = (...states: string[]) => states.reduce((n, state) => n + (seen[state] ?? 0), 0)
      for (const state of ['open', 'sure', 'out'])
        expect(of(state, `${state} whatever`), state).toBeGreaterThan(20)
      for (const state of ['sure whatever', 'out whatever']) expect(of(state), state).toBeGreaterThan(3)
    },
    240_000,
  )

  test('what a driver has in a round that is under way counts towards what is in reach', () => {
    const run = (laps: number) => ({ laps, seconds: 301 })
    const round = (id: string, isComplete: boolean, results: Record<string, DriverResult>) => ({
      id,
      name: id,
      isComplete,
      results: new Map(Object.entries(results)),
    })
    const series: Series = {
      rules: {
        score: 'place',
        table: [],
        counting: null,
        equalPlaces: 'share',
        noStart: 'behind-class',
        ties: ['results-in-turn'],
      },
      drivers: ['a', 'd'],
      rounds: [
        round('q1', true, { a: run(10), d: run(9) }),
        round('q2', true, { a: run(10), d: run(9) }),
        round('q3', false, { a: { laps: 0, seconds: 0, ended: 'did-not-start' }, d: run(9) }),
        round('q4', false, {}),
      ],
    }
    // With q4 won d has 2 + 2 + 1 + 1, a 1 + 1 + 3 + 2.
    expect(compareNeeded(series, 'd', 1, 'result')).toBe('open')
  })

  test('where cases are drawn, what is said to be certain is so, and shares are within their error', () => {
    let certain = 0
    let near = 0
    let all = 0
    fc.assert(
      fc.property(
        smallSeries({ drivers: [3, 4], run: [1, 2], half: [0], toCome: [1, 1] }),
        fc.nat(3),
        fc.nat(3),
        fc.constantFrom('result' as const, 'place' as const),
        (series, who, at, by) => {
          const driver = series.drivers[who % series.drivers.length]!
          const place = (at % series.drivers.length) + 1
          const question = { series, driver, place, by, raceSeconds: RACE_S, steps: STEPS }
          const exact = neededFor({ ...question, cases: 1e9 })
          const drawn = neededFor({ ...question, cases: 0, draws: 100, seed: 7 })
          expect(neededFor({ ...question, cases: 0, draws: 100, seed: 7 })).toEqual(drawn)
          if (exact.state === 'early') return
          if (drawn.state === 'sure' || drawn.state === 'out') {
            certain++
            expect(drawn.state).toBe(exact.state)
          }
          if (!exact.asItIs || !drawn.asItIs) return
          all++
          const { share, plusMinus } = drawn.asItIs
          if (Math.abs(share - exact.asItIs.share) <= plusMinus) near++
          const [a, b] = [exact.each, drawn.each]
          if (a && b) expect(b.ifOthersHold).toEqual(a.ifOthersHold)
        },
      ),
      { numRuns: 300, seed: 20260915 },
    )
    expect(certain).toBeGreaterThan(20)
    // Two standard errors hold in about 95 of 100.
    expect(near / all).toBeGreaterThan(0.93)
  }, 120_000)

  test('the table itself: places of 500 random series, half run or not', () => {
    fc.assert(
      fc.property(smallSeries({ drivers: [1, 7], run: [0, 3], half: [0, 1], toCome: [0, 2] }), (series) => {
        const table = seriesTable(series)
        expect(Object.fromEntries(table.map((r) => [r.driver, r.place]))).toEqual(placesByHand(series))
      }),
      { numRuns: 500, seed: 20260914 },
    )
  })
})
