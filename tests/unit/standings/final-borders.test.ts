import { expect, test } from 'vitest'
import { finalBorders } from '@/app/board/[meetingId]/standings/final-borders'
import { drawFinals, seriesTable, type Series } from '@/lib/standings'

test('where a final begins, and who is level there', () => {
  const series = (seconds: number[]): Series => ({
    rules: {
      score: 'place',
      table: [],
      counting: null,
      equalPlaces: 'share',
      noStart: 'behind-class',
      ties: [],
    },
    drivers: seconds.map((_, i) => `d${i}`),
    rounds: [
      {
        id: 'q1',
        name: 'Qualifying 1',
        isComplete: true,
        results: new Map(seconds.map((s, i) => [`d${i}`, { laps: 12, seconds: s }])),
      },
    ],
  })
  const borders = (seconds: number[]) => {
    const table = seriesTable(series(seconds))
    const drivers = ['Ash', 'Birch', 'Cedar', 'Elm'].map((name, i) => ({
      id: `d${i}`,
      name,
      carNumber: '',
      carId: null,
    }))
    const drawn = drawFinals(
      { finalSize: 3, bumpUps: 1 },
      table.map((r) => r.driver),
    )
    return [...finalBorders({ drawn, drivers, qualifying: { series: series(seconds), table } })]
  }
  expect(borders([301, 302, 303, 304])).toEqual([
    [0, 'A final, with 1 who moves up'],
    [2, 'B final'],
  ])
  expect(borders([301, 302, 302, 304])).toEqual([
    [0, 'A final, with 1 who moves up'],
    [2, 'B final. Birch and Cedar are level: the event’s rules say who is in it'],
  ])
})
