import type { DriverResult, SeriesRules, SeriesRound, SeriesRow } from '@/lib/standings'
import { seriesTable } from '@/lib/standings'
import { sources, type ReferenceRow, type Source } from './reference-row'

/** Worked examples of other sports, whose arithmetic is the same: a rule as data, who came where, and what the publication says of it. */
interface Example {
  name: string
  source: Source
  rules: Partial<SeriesRules>
  /** By competitor, a place for each round; null: no start. */
  places?: Record<string, readonly (number | null)[]>
  /** By competitor, a time for each round, s. */
  times?: Record<string, readonly number[]>
  expected: Record<string, { place?: number; points?: number; seconds?: number }>
}

const LOW_POINTS: Partial<SeriesRules> = { score: 'place', ties: ['results-in-turn', 'last-rounds-in-turn'] }

const EXAMPLES: readonly Example[] = [
  {
    name: 'sailing, one discard, ties by best scores, then by the last race',
    source: sources.sailingTies,
    rules: { ...LOW_POINTS, counting: 5 },
    places: { A: [3, 4, 1, 6, 2, 7], B: [4, 3, 2, 1, 6, 6], C: [1, 2, 7, 3, 3, 14] },
    expected: { A: { points: 16, place: 3 }, B: { points: 16, place: 2 }, C: { points: 16, place: 1 } },
  },
  {
    name: 'sailing, one discard, ties by the last race though it is excluded',
    source: sources.sailingTies,
    rules: { ...LOW_POINTS, counting: 3 },
    places: { A: [3, 4, 5, 10], B: [11, 3, 4, 5], C: [5, 15, 3, 4], D: [4, 5, 6, 3] },
    expected: {
      A: { points: 12, place: 4 },
      B: { points: 12, place: 3 },
      C: { points: 12, place: 2 },
      D: { points: 12, place: 1 },
    },
  },
  {
    name: 'sailing, three boats level in fourth place share 4, 5 and 6',
    source: sources.sailingRaceTie,
    rules: { ...LOW_POINTS, equalPlaces: 'average' },
    places: { A: [1], B: [2], C: [3], D: [4], E: [4], F: [4], G: [7] },
    expected: { D: { points: 5 }, E: { points: 5 }, F: { points: 5 }, G: { points: 7 } },
  },
  {
    name: 'sailing, no start is one more than the boats entered',
    source: sources.sailingNoStart,
    rules: LOW_POINTS,
    places: { A: [1], B: [2], C: [3], D: [null] },
    expected: { D: { points: 5, place: 4 } },
  },
  {
    name: 'grand prix season 1988, best 11 of 16',
    source: sources.grandPrix1988,
    rules: { score: 'points', table: [9, 6, 4, 3, 2, 1], counting: 11, ties: ['most-firsts'] },
    places: {
      champion: [null, 1, null, 2, 1, 1, 2, 1, 1, 1, 1, 10, 6, 4, 1, 2],
      second: [1, 2, 1, 1, 2, 2, 1, null, 2, 2, 2, null, 1, 1, 2, 1],
    },
    expected: { champion: { points: 90, place: 1 }, second: { points: 87, place: 2 } },
  },
  {
    name: 'the same season, were all 16 to count',
    source: sources.grandPrix1988,
    rules: { score: 'points', table: [9, 6, 4, 3, 2, 1], counting: null },
    places: {
      champion: [null, 1, null, 2, 1, 1, 2, 1, 1, 1, 1, 10, 6, 4, 1, 2],
      second: [1, 2, 1, 1, 2, 2, 1, null, 2, 2, 2, null, 1, 1, 2, 1],
    },
    expected: { champion: { points: 94, place: 2 }, second: { points: 105, place: 1 } },
  },
  {
    name: 'bobsleigh, four runs added up, a tie that stands',
    source: sources.bobsleigh2018,
    rules: { score: 'laps-and-time', counting: null },
    times: {
      'bib 6': [49.1, 49.39, 49.09, 49.28],
      'bib 7': [49.22, 49.46, 48.96, 49.22],
      'bib 13': [49.08, 49.54, 49.08, 49.21],
      'bib 11': [49.12, 49.27, 49.32, 49.35],
      'bib 10': [49.24, 49.34, 49.09, 49.47],
    },
    expected: {
      'bib 6': { seconds: 196.86, place: 1 },
      'bib 7': { seconds: 196.86, place: 1 },
      'bib 13': { seconds: 196.91, place: 3 },
      'bib 11': { seconds: 197.06, place: 4 },
      'bib 10': { seconds: 197.14, place: 5 },
    },
  },
  {
    name: 'rally, a win and a third against two seconds',
    source: sources.rallyTies,
    rules: { score: 'points', table: [10, 8, 6, 5, 4, 3, 2, 1], ties: ['most-firsts'] },
    places: { A: [1, 3], B: [2, 2] },
    expected: { A: { points: 16, place: 1 }, B: { points: 16, place: 2 } },
  },
  {
    name: 'rally, a 21st place beyond the points parts',
    source: sources.rallyTies,
    rules: { score: 'points', table: [10, 8, 6, 5, 4, 3, 2, 1], ties: ['most-firsts'] },
    places: { A: [7, null], B: [7, 21] },
    expected: { A: { points: 2, place: 2 }, B: { points: 2, place: 1 } },
  },
  {
    name: 'golf league, three level in second place get its points, the next gets those of the fifth',
    source: sources.golfLeague,
    rules: { score: 'points', table: [25, 20, 18, 16, 14, 12, 10, 8, 6, 4], counting: 5 },
    places: { A: [1], B: [2], C: [2], D: [2], E: [5] },
    expected: {
      B: { points: 20, place: 2 },
      C: { points: 20 },
      D: { points: 20 },
      E: { points: 14, place: 5 },
    },
  },
  {
    name: 'robotics league, three level in first place share 8, 6 and 4',
    source: sources.roboticsLeague,
    rules: { score: 'points', table: [8, 6, 4, 2], equalPlaces: 'average' },
    places: { A: [1], B: [1], C: [1], D: [4] },
    expected: { A: { points: 6 }, B: { points: 6 }, C: { points: 6 }, D: { points: 2 } },
  },
]

function tableOf({ rules, places, times }: Example): readonly SeriesRow[] {
  const all = Object.entries(places ?? times ?? {})
  const rounds = all[0]?.[1].length ?? 0
  return seriesTable({
    rules: {
      score: 'place',
      table: [],
      counting: null,
      equalPlaces: 'share',
      noStart: 'behind-class',
      ties: [],
      ...rules,
    },
    drivers: all.map(([name]) => name),
    rounds: Array.from({ length: rounds }, (_, i): SeriesRound => ({
      id: `${i + 1}`,
      name: `${i + 1}`,
      isComplete: true,
      results: new Map<string, DriverResult>([
        ...Object.entries(places ?? {}).flatMap(([name, list]) => {
          const place = list[i]
          return place ? [[name, { laps: 0, seconds: 0, place }] satisfies [string, DriverResult]] : []
        }),
        ...Object.entries(times ?? {}).map(([name, list]): [string, DriverResult] => [
          name,
          { laps: 1, seconds: list[i] ?? 0 },
        ]),
      ]),
    })),
  })
}

export const standingsRows: ReferenceRow[] = EXAMPLES.flatMap((example) =>
  Object.entries(example.expected).flatMap(([name, wanted]) =>
    (['points', 'seconds', 'place'] as const).flatMap((what): ReferenceRow[] => {
      const outside = wanted[what]
      if (outside === undefined) return []
      return [
        {
          what: `${example.name}: ${name}, ${what}`,
          unit: what === 'seconds' ? 's' : '',
          outside,
          source: example.source,
          tolerance: 'exact',
          model: () => tableOf(example).find((r) => r.driver === name)?.[what] ?? NaN,
        },
      ]
    }),
  ),
)
