import { describe, expect, test } from 'vitest'
import {
  assumptionWords,
  neededFor,
  neededWords,
  ordinal,
  ownResultText,
  seriesTable,
  type DriverResult,
  type Series,
} from '@/lib/standings'

const run = (laps: number, seconds: number): DriverResult => ({ laps, seconds })
const series: Series = {
  rules: {
    score: 'laps-and-time',
    table: [],
    counting: 1,
    equalPlaces: 'share',
    noStart: 'behind-class',
    ties: [],
  },
  drivers: ['own', 'ahead', 'behind', 'slow'],
  rounds: [
    {
      id: 'q1',
      name: 'Qualifying 1',
      isComplete: true,
      results: new Map([
        ['own', run(12, 301)],
        ['ahead', run(13, 304.01)],
        ['behind', run(11, 300)],
        ['slow', run(10, 300)],
      ]),
    },
    {
      id: 'q2',
      name: 'Qualifying 2',
      isComplete: true,
      results: new Map([
        ['own', run(12, 305)],
        ['ahead', run(12, 300)],
        ['behind', run(12, 302)],
        ['slow', run(10, 301)],
      ]),
    },
    { id: 'q3', name: 'Qualifying 3', isComplete: false, results: new Map() },
  ],
}
const names = {
  driver: (id: string) => id,
  round: (id: string) => series.rounds.find((r) => r.id === id)?.name ?? '',
  one: 'round',
}
const ask = (driver: string, place: number) =>
  neededFor({ series, driver, place, by: 'result', raceSeconds: 300 })

describe('what is needed, in words', () => {
  test('the fastest single run: a hundredth faster than the one ahead', () => {
    const needed = ask('own', 1)
    expect(neededWords(needed, { ...names, goal: '1st place' })).toEqual([
      '13 laps in 5:04.01 or better in Qualifying 3 is enough in every case.',
    ])
    expect(assumptionWords(needed, 'result', 'round')).toBe(
      'In each round that is left each of the others drives again one of the runs that they have had here, each as likely; who has had none does not start. All 8 cases were gone through.',
    )
  })

  test('one step up among rivals who could improve: who they are, and how often it is enough', () => {
    const held = neededFor({
      series: { ...series, rules: { ...series.rules, counting: 2 } },
      driver: 'own',
      place: 1,
      by: 'result',
      raceSeconds: 300,
    })
    // Two best count: 25 laps in 604.01 s lead. Own 12 in 301 s are there, and 303.01 s are left for 13 more; after another 13 in 304.01 s it takes 14.
    expect(neededWords(held, { ...names, goal: '1st place' })).toEqual([
      '13 laps in 5:03.01 or better in Qualifying 3, if ahead does not improve (enough in 50% of the cases).',
      '14 laps in 5:07.02 or better in Qualifying 3 is enough in every case.',
    ])
  })

  test('who already has it, and who can no longer miss it', () => {
    expect(neededWords(ask('ahead', 1), { ...names, goal: '1st place' })).toEqual([
      '1st place is certain even without another start, if the others repeat runs that they have had.',
    ])
    expect(ask('slow', 3).state).toBe('open')
  })

  test('nothing to go by, and nothing left', () => {
    const early = { ...series, rounds: series.rounds.slice(2) }
    const late = { ...series, rounds: series.rounds.slice(0, 2) }
    const q = { driver: 'own', place: 2, by: 'result' as const, raceSeconds: 300 }
    expect(neededFor({ ...q, series: early }).state).toBe('early')
    expect(neededWords(neededFor({ ...q, series: late }), { ...names, goal: '2nd place' })).toEqual([
      '2nd place: reached.',
    ])
  })

  test('figures as people read them', () => {
    expect([1, 2, 3, 4, 11, 12, 13, 21, 22, 112].map(ordinal).join(' ')).toBe(
      '1st 2nd 3rd 4th 11th 12th 13th 21st 22nd 112th',
    )
    const run = (seconds: number) => ownResultText({ kind: 'result', laps: 13, seconds, isAnyTime: false })
    expect([304, 304.2].map(run)).toEqual(['13 laps in 5:04.00 or better', '13 laps in 5:04.20 or better'])
  })
})

test('a leg that somebody may not start: out of reach in every order is not out of reach whatever happens', () => {
  const placed = (place: number): DriverResult => ({ laps: 10, seconds: 300 + place, place })
  const leg = (n: number, order: readonly string[]) => ({
    id: `leg${n}`,
    name: `Leg ${n}`,
    isComplete: order.length > 0,
    results: new Map(order.map((driver, at) => [driver, placed(at + 1)])),
  })
  const legs: Series = {
    rules: {
      score: 'place',
      table: [],
      counting: 3,
      equalPlaces: 'share',
      noStart: 'behind-class',
      ties: ['results-in-turn'],
    },
    drivers: ['ahead', 'own', 'behind'],
    rounds: [leg(1, ['ahead', 'own', 'behind']), leg(2, ['ahead', 'own', 'behind']), leg(3, [])],
  }
  const needed = neededFor({ series: legs, driver: 'own', place: 1, by: 'place', raceSeconds: 300 })
  expect(needed).toMatchObject({ state: 'out', isWhatever: false, isIfAllStart: true })
  expect(neededWords(needed, { ...names, one: 'leg', goal: '1st place' })).toEqual([
    '1st place is out of reach even with the best result there could be, if all of the others start.',
  ])
  // What would happen if the one ahead did not start.
  const third = new Map([
    ['own', placed(1)],
    ['behind', placed(2)],
    ['ahead', { laps: 0, seconds: 0, ended: 'did-not-start' as const }],
  ])
  const rounds = [...legs.rounds.slice(0, 2), { id: 'leg3', name: 'Leg 3', isComplete: true, results: third }]
  expect(seriesTable({ ...legs, rounds })[0]).toMatchObject({ driver: 'own', place: 1 })
})
