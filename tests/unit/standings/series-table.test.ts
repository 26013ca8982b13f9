import fc from '../../support/fast-check'
import { describe, expect, test } from 'vitest'
import {
  drawFinals,
  movesUp,
  overallOrder,
  seriesTable,
  type DriverResult,
  type Series,
  type SeriesRules,
} from '@/lib/standings'
import { smallSeries } from '@/tests/support/random-series'

const RULES: SeriesRules = {
  score: 'place',
  table: [],
  counting: 2,
  equalPlaces: 'share',
  noStart: 'behind-class',
  ties: ['results-in-turn', 'fastest-run'],
}

/** Rounds as lists of `laps/seconds`, `-` for no start, `~` for not run yet, with who drove in front. */
function series(rules: Partial<SeriesRules>, lines: Record<string, string>, toCome = 0): Series {
  const drivers = Object.keys(lines)
  const cells = Object.values(lines).map((line) => line.split(/\s+/))
  const rounds = cells[0]?.length ?? 0
  return {
    rules: { ...RULES, ...rules },
    drivers,
    rounds: Array.from({ length: rounds + toCome }, (_, i) => ({
      id: `r${i + 1}`,
      name: `Round ${i + 1}`,
      isComplete: i < rounds && cells.every((row) => row[i] !== '~'),
      results: new Map(
        drivers.flatMap((d, at): [string, DriverResult][] => {
          const found = /^(\d+)\/(\d+)(!?)$/.exec(cells[at]?.[i] ?? '')
          if (!found) return []
          const ended = found[3] ? { ended: 'did-not-finish' as const } : {}
          return [[d, { laps: Number(found[1]), seconds: Number(found[2]), ...ended }]]
        }),
      ),
    })),
  }
}
const places = (s: Series) => Object.fromEntries(seriesTable(s).map((r) => [r.driver, r.place]))

describe('the table', () => {
  test('a car that stopped, of which the list has no time, comes after all that did as many laps', () => {
    const table = seriesTable(
      series(
        { counting: 1, ties: [] },
        { stopped: '12/0!', slow: '12/309', fast: '12/302', also: '12/0!', less: '11/300' },
      ),
    )
    expect(table.map((r) => [r.driver, r.place])).toEqual([
      ['fast', 1],
      ['slow', 2],
      [expect.stringMatching(/stopped|also/), 3],
      [expect.stringMatching(/stopped|also/), 3],
      ['less', 5],
    ])
  })

  test('best two of three by places, with what is dropped and why a tie was broken', () => {
    const table = seriesTable(
      series({}, { ash: '14/310 14/308 12/308', birch: '14/309 13/309 -', cedar: '13/301 14/309 14/306' }),
    )
    // ash 2, 1, 2; birch 1, 3, no start behind all three: 4; cedar 3, 2, 1.
    expect(table.map((r) => [r.driver, r.place, r.points, r.counted])).toEqual([
      ['cedar', 1, 3, [1, 2]],
      ['ash', 2, 3, [1, 2]],
      ['birch', 3, 4, [0, 1]],
    ])
    // Both count 1 and 2; cedar's best run is the faster one. Of ash's two equal worst scores the earlier was dropped.
    expect(table[0]!.parted).toEqual({ rule: 'fastest-run', from: 'ash' })
    expect(table[1]!.parted).toBeNull()
    expect(table[2]!.rounds[2]).toMatchObject({ place: null, points: 4 })
  })

  test('fastest two of three: laps and times added up', () => {
    const table = seriesTable(
      series({ score: 'laps-and-time' }, { ash: '14/310 14/308 12/300', birch: '14/305 13/301 13/300' }),
    )
    expect(table.map((r) => [r.driver, r.laps, r.seconds])).toEqual([
      ['ash', 28, 618],
      ['birch', 27, 605],
    ])
  })

  test('falling and rising points tables, and places past their end', () => {
    const lines = { ash: '10/300', birch: '10/301', cedar: '10/302', damson: '10/303' }
    const points = (table: number[]) =>
      seriesTable(series({ score: 'points', table, counting: 1 }, lines)).map((r) => [r.driver, r.points])
    expect(points([20, 17])).toEqual([
      ['ash', 20],
      ['birch', 17],
      ['cedar', 0],
      ['damson', 0],
    ])
    expect(points([0, 2])).toEqual([
      ['ash', 0],
      ['birch', 2],
      ['cedar', 3],
      ['damson', 4],
    ])
  })

  test('nobody, nothing, one driver, more to count than rounds', () => {
    expect(seriesTable(series({}, {}))).toEqual([])
    expect(places(series({}, { ash: '~', birch: '~' }, 2))).toEqual({ ash: 1, birch: 1 })
    expect(places(series({ counting: 9 }, { ash: '10/300 10/301', birch: '10/301 10/300' }))).toEqual({
      ash: 1,
      birch: 1,
    })
  })

  test('all level: everybody shares the first place, and the next place is left out', () => {
    expect(places(series({}, { ash: '10/300', birch: '10/300', cedar: '10/300', damson: '9/300' }))).toEqual({
      ash: 1,
      birch: 1,
      cedar: 1,
      damson: 4,
    })
    const table = seriesTable(series({}, { ash: '10/300', birch: '10/300' }))
    expect(table[0]!.levelWith).toEqual(['birch'])
    expect(table[0]!.parted).toBeNull()
  })

  test('who did not finish is placed by what was driven, before who did not start', () => {
    expect(
      places(series({ counting: 1 }, { ash: '4/120!', birch: '0/0!', cedar: '-', damson: '9/300' })),
    ).toEqual({
      damson: 1,
      ash: 2,
      birch: 3,
      cedar: 4,
    })
  })

  test('places of a round that is half run wait until everybody has run it', () => {
    const half = series(
      { counting: 1 },
      { ash: '10/300 ~', birch: '10/301 ~', cedar: '10/302 ~', damson: '10/303 8/300' },
    )
    const table = seriesTable(half)
    expect(table.map((r) => [r.driver, r.place, r.points, r.counted])).toEqual([
      ['ash', 1, 1, [0]],
      ['birch', 2, 2, [0]],
      ['cedar', 3, 3, [0]],
      ['damson', 4, 4, [0]],
    ])
    // What it would be worth so far is still told.
    expect(table[3]!.rounds[1]).toMatchObject({ place: 1, laps: 8 })
    expect(table[3]!.eligible).toEqual([0])
    expect(table[0]!.rounds[1]).toBeNull()
  })

  test('a better lap and time counts at once, and in the first round the places so far are all there is', () => {
    const fast = series(
      { score: 'laps-and-time' },
      { ash: '10/300 ~', birch: '10/301 10/299', cedar: '9/300 ~' },
    )
    expect(seriesTable(fast).map((r) => [r.driver, r.counted])).toEqual([
      ['birch', [1]],
      ['ash', [0]],
      ['cedar', [0]],
    ])
    expect(places(series({}, { ash: '~', birch: '10/301', cedar: '10/300' }))).toEqual({
      cedar: 1,
      birch: 2,
      ash: 3,
    })
  })

  test('those who qualified level are level by qualifying', () => {
    const finals: Series = {
      ...series({ ties: ['qualifying'] }, { ash: '10/300', birch: '10/300', cedar: '10/300' }),
      seeding: [
        { driver: 'cedar', place: 1 },
        { driver: 'ash', place: 2 },
        { driver: 'birch', place: 2 },
      ],
    }
    expect(places(finals)).toEqual({ cedar: 1, ash: 2, birch: 2 })
  })

  test('officials’ places count only where everybody who started has one', () => {
    const by = (list: Record<string, number | undefined>) =>
      places({
        rules: RULES,
        drivers: Object.keys(list),
        rounds: [
          {
            id: 'leg',
            name: 'Leg 1',
            isComplete: true,
            results: new Map(
              Object.entries(list).map(([d, place], i): [string, DriverResult] => [
                d,
                { laps: 10, seconds: 300 + i, ...(place && { place }) },
              ]),
            ),
          },
        ],
      })
    expect(by({ ash: 2, birch: 1, cedar: 4 })).toEqual({ birch: 1, ash: 2, cedar: 3 })
    expect(by({ ash: 2, birch: undefined, cedar: 1 })).toEqual({ ash: 1, birch: 2, cedar: 3 })
  })
})

const anySeries = smallSeries({ drivers: [2, 6], run: [0, 3], half: [0, 1], toCome: [0, 1] })

describe('whatever the rules and results', () => {
  test('the order of drivers and of results changes nothing', () => {
    fc.assert(
      fc.property(anySeries, fc.infiniteStream(fc.nat(1000)), (s, keys) => {
        const shuffled = <T>(list: readonly T[]): T[] =>
          list
            .map((x) => ({ x, key: keys.next().value as number }))
            .sort((a, b) => a.key - b.key)
            .map(({ x }) => x)
        const mixed: Series = {
          ...s,
          drivers: shuffled(s.drivers),
          rounds: s.rounds.map((r) => ({ ...r, results: new Map(shuffled([...r.results])) })),
        }
        expect(seriesTable(mixed)).toEqual(seriesTable(s))
      }),
      { numRuns: 500 },
    )
  })

  test('a better result never makes one’s own place worse', () => {
    let moved = 0
    fc.assert(
      fc.property(anySeries, fc.nat(5), fc.nat(3), fc.nat(2), fc.nat(4), (s, who, at, laps, seconds) => {
        const driver = s.drivers[who % s.drivers.length]!
        const round = s.rounds[at % Math.max(1, s.rounds.length)]
        if (!round) return
        const was = round.results.get(driver)
        const better: DriverResult = {
          laps: (was?.laps ?? 9) + laps,
          seconds: Math.max(1, (was?.laps ? was.seconds : 304) - seconds),
          ...(was?.bestLapS !== undefined && { bestLapS: was.bestLapS }),
        }
        // A start instead of none, or more laps, or less time for the same.
        if (was?.laps && laps === 0 && seconds === 0) return
        const rounds = s.rounds.map((r) =>
          r === round ? { ...r, results: new Map([...r.results, [driver, better] as const]) } : r,
        )
        const [before, after] = [places(s)[driver]!, places({ ...s, rounds })[driver]!]
        if (after < before) moved++
        expect(after).toBeLessThanOrEqual(before)
      }),
      { numRuns: 2000 },
    )
    expect(moved).toBeGreaterThan(100)
  })

  test('places are as many as drivers, and those who are level share one', () => {
    fc.assert(
      fc.property(anySeries, (s) => {
        const table = seriesTable(s)
        expect(table.map((r) => r.driver).sort()).toEqual([...s.drivers].sort())
        table.forEach((r, i) => {
          expect(r.place).toBe(table.filter((o) => o.place < r.place).length + 1)
          expect(r.levelWith.length).toBe(table.filter((o) => o.place === r.place).length - 1)
          if (i > 0) expect(r.place).toBeGreaterThanOrEqual(table[i - 1]!.place)
        })
      }),
      { numRuns: 500 },
    )
  })
})

describe('finals', () => {
  const order = Array.from({ length: 11 }, (_, i) => `d${i + 1}`)

  test('the best go into A directly, all but the lowest keep seats for those who move up', () => {
    expect(
      drawFinals({ finalSize: 4, bumpUps: 1 }, order).map((f) => [f.letter, f.drivers.length, f.kept]),
    ).toEqual([
      ['A', 3, 1],
      ['B', 3, 1],
      ['C', 3, 1],
      ['D', 2, 0],
    ])
    expect(drawFinals({ finalSize: 12, bumpUps: 2 }, order)).toMatchObject([
      { letter: 'A', drivers: order, kept: 0 },
    ])
    expect(drawFinals({ finalSize: null, bumpUps: 0 }, order)).toEqual([])
  })

  test('everybody is drawn once, whatever the sizes', () => {
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 12 }), fc.nat(10), fc.nat(40), (finalSize, up, drivers) => {
        const all = Array.from({ length: drivers }, (_, i) => `${i}`)
        const finals = drawFinals({ finalSize, bumpUps: Math.min(up, finalSize - 1) }, all)
        expect(finals.flatMap((f) => f.drivers)).toEqual(all)
        for (const f of finals) expect(f.drivers.length + f.kept).toBeLessThanOrEqual(finalSize)
      }),
    )
  })

  test('who moved up counts where they got to; places below close up', () => {
    const a = {
      letter: 'A',
      isComplete: true,
      places: ['x', 'up', 'y'].map((driver, i) => ({ driver, place: i + 1 })),
    }
    const b = {
      letter: 'B',
      isComplete: true,
      places: ['up', 'z', 'w'].map((driver, i) => ({ driver, place: i + 1 })),
    }
    expect(movesUp(b, 1)).toEqual(['up'])
    expect(movesUp({ ...b, isComplete: false }, 1)).toEqual([])
    expect(movesUp(a, 1)).toEqual([])
    expect(overallOrder([b, a], [{ driver: 'late', place: 9 }])).toEqual([
      { driver: 'x', place: 1, final: 'A' },
      { driver: 'up', place: 2, final: 'A' },
      { driver: 'y', place: 3, final: 'A' },
      { driver: 'z', place: 4, final: 'B' },
      { driver: 'w', place: 5, final: 'B' },
      { driver: 'late', place: 6, final: null },
    ])
  })
})
