import { describe, expect, test } from 'vitest'
import { LAP_LAYOUTS, readList, type LapLayout } from '@/lib/results'
import { must } from '../../support/must'
import { firstRound, importText, onBoard, raceMeeting } from '../../support/results-board'

const lapsOf = (text: string) => {
  const { lapLayout, list } = must(readList(text))
  return {
    lapLayout,
    laps: Object.fromEntries(list.laps.map((l) => [l.racer.carNumber || l.racer.driverName, l.laps])),
    problems: list.problems,
  }
}

/** Two cars' laps in each layout, with a hole where `x` stands. */
const LISTS: Readonly<Record<LapLayout, (x: string) => string>> = {
  'column-per-car': (x) => `Lap;14;17\n1;26,1;26,3\n2;${x};25,4\n3;24,9;\n`,
  'row-per-lap': (x) => `Number;Lap;Lap time\n14;1;26,1\n17;1;26,3\n14;2;${x}\n17;2;25,4\n14;3;24,9\n17;3;\n`,
  'row-per-car': (x) => `Number;Lap 1;Lap 2;Lap 3\n14;26,1;${x};24,9\n17;26,3;25,4;\n`,
  'one-cell': (x) => `Number|All laps\n14|26.1 ${x.replace(',', '.') || '-'} 24.9\n17|26.3 25.4 -\n`,
}

describe.each(LAP_LAYOUTS)('%s', (layout) => {
  test('is found, and read whole; laps that are missing at the end are none', () => {
    expect(lapsOf(LISTS[layout]('25,0'))).toEqual({
      lapLayout: layout,
      laps: { 14: [26.1, 25, 24.9], 17: [26.3, 25.4] },
      problems: [],
    })
  })

  test.each(['', '-'])('a lap that is missing between others (“%s”) is said, and moves none up', (hole) => {
    const { laps, problems } = lapsOf(LISTS[layout](hole))
    expect(problems).toMatchObject([{ severity: 'bad' }])
    expect(problems[0]?.reason).toMatch(/is missing for (?:car )?14|lacks a lap/)
    expect(laps[14]).toBeUndefined()
  })

  test('a lap that is none is said by its line', () => {
    const { laps, problems } = lapsOf(LISTS[layout]('25.x'))
    expect(problems).toMatchObject([{ severity: 'bad', value: '25.x', reason: 'is not a lap time' }])
    expect(laps[14]).toBeUndefined()
  })
})

test('a row per car with a column per lap is imported, minutes too', () => {
  const b = raceMeeting()
  const text = 'Number;Lap 1;Lap 2;Lap 3\n14;26,1;25,0;24,9\n17;1:02.4;25,5;\n'
  expect(importText(b, text, firstRound(b, 2)).plan.problems).toEqual([])
  expect(onBoard(b, 'Qualifying 1', 2, '14')?.laps?.v).toEqual([26.1, 25, 24.9])
  expect(onBoard(b, 'Qualifying 1', 2, '17')?.laps?.v).toEqual([62.4, 25.5])
})

test.each([
  ['with a count of laps', 'Lap,14,17\n1,26.1,26.3\n2,25.1,25.7\nMean,25.6,26.0\nTotal,51.2,52.0\n'],
  ['with words in front alone', ',14,17\n,26.1,26.3\n,25.1,25.7\nMean,25.6,26.0\nTotal,51.2,52.0\n'],
])('lines below the laps are said and are no laps: %s', (_, text) => {
  const { laps, problems } = lapsOf(text)
  expect(laps).toEqual({ 14: [26.1, 25.1], 17: [26.3, 25.7] })
  expect(problems).toMatchObject([
    { line: 4, severity: 'doubt', value: 'Mean', reason: 'is no lap' },
    { line: 5, severity: 'doubt', value: 'Total', reason: 'is no lap' },
  ])
})

test('a line of a racer below the laps is no lap either', () => {
  const { laps, problems } = lapsOf('Number,Lap,Lap time\n14,1,26.1\n14,2,25.1\n14,Mean,25.6\n')
  expect(laps).toEqual({ 14: [26.1, 25.1] })
  expect(problems).toMatchObject([{ line: 4, severity: 'doubt', value: 'Mean' }])
})

test.each([
  ['Lap,14,17\n1,26.1,26.3\n3,25.1,25.7\n', 3, 'is not the lap after 1'],
  ['Number,Lap,Lap time\n14,1,26.1\n14,3,25.9\n', 3, 'is not the lap after 1 of car 14'],
  ['Number;Lap 1;Lap 2;Lap 4\n14;26,1;25,0;24,9\n', 1, 'is not the lap after 2'],
])('a gap in the count of laps is said: %j', (text, line, reason) => {
  expect(lapsOf(text)).toMatchObject({ laps: {}, problems: [{ line, severity: 'bad', reason }] })
})

test('the heat that stands above a lap list is the one that the laps are of', () => {
  const b = raceMeeting()
  const text = 'Saltmarsh,,\n"Qualifying 1, heat 2",,\nLap,14,17\n1,26.1,26.3\n2,25.1,25.7\n'
  const { plan } = importText(b, text, firstRound(b, 3))
  expect(plan.problems).toEqual([])
  expect(onBoard(b, 'Qualifying 1', 2, '14')?.laps?.v).toEqual([26.1, 25.1])
})

test('whole seconds are laps where a column counts them', () => {
  expect(lapsOf('Lap;14;17\n1;26;27\n2;25;26\n').laps).toEqual({ 14: [26, 25], 17: [27, 26] })
})

test.each(['14;17\n26;27\n25;26\n', '14;17\n26;27\n25,1;26\n'])(
  'whole seconds without a count could be cars: %j',
  (text) => {
    const { laps, problems } = lapsOf(text)
    expect(laps).toEqual({})
    expect(problems).toMatchObject([{ severity: 'bad', reason: 'could be a lap or a car’s number' }])
  },
)
