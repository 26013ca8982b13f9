import fc from './fast-check'
import { TIE_KEYS } from '@/lib/core/standings-terms'
import type { DriverResult, Series, SeriesRules } from '@/lib/standings'

export const seriesRules: fc.Arbitrary<SeriesRules> = fc.record({
  score: fc.constantFrom('place', 'points', 'laps-and-time'),
  table: fc.constantFrom([10, 8, 6, 5], [0, 2, 3, 4], [3, 2, 2], [5], [25, 18, 15, 12, 10, 8]),
  counting: fc.constantFrom(null, 1, 2, 3, 9),
  equalPlaces: fc.constantFrom('share', 'average'),
  noStart: fc.constantFrom('behind-class', 'behind-round'),
  ties: fc.shuffledSubarray([...TIE_KEYS]),
})

/** Few laps and whole seconds, so that equal results are common. */
const result: fc.Arbitrary<DriverResult | null> = fc.oneof(
  {
    weight: 8,
    arbitrary: fc
      .record({
        laps: fc.integer({ min: 9, max: 10 }),
        seconds: fc.integer({ min: 300, max: 304 }),
        bestLapS: fc.option(fc.integer({ min: 25, max: 27 })),
      })
      .map(({ laps, seconds, bestLapS }) => ({ laps, seconds, ...(bestLapS !== null && { bestLapS }) })),
  },
  { weight: 1, arbitrary: fc.constant({ laps: 0, seconds: 0, ended: 'did-not-start' as const }) },
  { weight: 1, arbitrary: fc.constant({ laps: 4, seconds: 120, ended: 'did-not-finish' as const }) },
  { weight: 1, arbitrary: fc.constant({ laps: 0, seconds: 0, ended: 'did-not-finish' as const }) },
  { weight: 1, arbitrary: fc.constant(null) },
)

/** A small series: some rounds run, perhaps one half run, some to come. */
export const smallSeries = (t: {
  drivers: readonly [number, number]
  run: readonly [number, number]
  half: readonly number[]
  toCome: readonly [number, number]
}): fc.Arbitrary<Series> =>
  fc
    .record({
      drivers: fc.integer({ min: t.drivers[0], max: t.drivers[1] }),
      run: fc.integer({ min: t.run[0], max: t.run[1] }),
      half: fc.constantFrom(...t.half),
      toCome: fc.integer({ min: t.toCome[0], max: t.toCome[1] }),
      rules: seriesRules,
      isSeeded: fc.boolean(),
    })
    .chain((n) => {
      const drivers = ['ash', 'birch', 'cedar', 'damson', 'elm', 'fir', 'gean'].slice(0, n.drivers)
      const rounds = n.run + n.half
      return fc
        .array(fc.array(result, { minLength: drivers.length, maxLength: drivers.length }), {
          minLength: rounds,
          maxLength: rounds,
        })
        .chain((results) =>
          fc
            .array(fc.boolean(), { minLength: drivers.length, maxLength: drivers.length })
            .map((hasRun): Series => ({
              rules: n.rules,
              drivers,
              // Two of them level, the others one behind the other.
              ...(n.isSeeded && {
                seeding: [...drivers].reverse().map((driver, i) => ({ driver, place: i === 1 ? 1 : i + 1 })),
              }),
              rounds: Array.from({ length: rounds + n.toCome }, (_, i) => ({
                id: `r${i + 1}`,
                name: `Round ${i + 1}`,
                isComplete: i < n.run,
                results: new Map(
                  drivers.flatMap((d, at): [string, DriverResult][] => {
                    const x = i < n.run || (i < rounds && hasRun[at]) ? results[i]?.[at] : null
                    return x ? [[d, x]] : []
                  }),
                ),
              })),
            })),
        )
    })
