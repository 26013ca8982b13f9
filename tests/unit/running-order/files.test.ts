import { expect, test } from 'vitest'
import { DEMO_ROSTER } from '@/demo/roster'
import type { RowProblem } from '@/lib/tables'
import { demoFile, readFile, shownAt } from '../../support/running-order'

const lines = (problems: RowProblem[]) =>
  problems.map((p) => [p.line, p.lastLine ?? p.line, p.severity, p.field, p.value, p.reason])

/** What every undamaged file says: ten heats in each of three rounds, 82 racers a round, at the same times. */
function expectTheWholeDay(file: ReturnType<typeof readFile>) {
  const heats = file.order.heats.filter((h) => !h.isBreak)
  expect(file.order.problems).toEqual([])
  expect(heats.length).toBe(30)
  expect(heats.map((h) => `${h.round} ${h.number}`)).toEqual(
    [1, 2, 3].flatMap((r) => Array.from({ length: 10 }, (_, i) => `Qualifying ${r} ${i + 1}`)),
  )
  expect(heats.map((h) => h.classText.toLowerCase())).toEqual(
    [1, 2, 3].flatMap(() => [...Array(5).fill('2wd modified'), ...Array(5).fill('4wd modified')]),
  )
  expect(heats.slice(0, 3).map((h) => shownAt(h.plannedStart))).toEqual([
    '10.10. 9:05',
    '10.10. 9:13',
    '10.10. 9:21',
  ])
  expect(shownAt(heats[29]!.plannedStart)).toBe('10.10. 14:17')
  expect(heats.map((h) => h.entries.length)).toEqual([1, 2, 3].flatMap(() => [9, 8, 8, 8, 8, 8, 8, 8, 8, 9]))
  const transponders = new Map(
    heats.slice(0, 10).flatMap((h) => h.entries.map((e) => [e.transponder, e] as const)),
  )
  for (const ours of DEMO_ROSTER) {
    const entry = transponders.get(ours.transponder)
    expect(entry?.carNumber).toBe(ours.carNumber)
    const [given, family] = ours.driver.split(' ')
    expect([ours.driver, `${family}, ${given}`]).toContain(entry?.driverName)
  }
  return heats
}

test('semicolons with a byte order mark: every heat, racer and break', () => {
  const file = readFile(demoFile('saltmarsh-semicolons.csv'))
  expect([file.text.encoding, file.text.foundBy, file.table.by]).toEqual(['utf-8', 'mark', ';'])
  expect(file.layout.roles).toEqual([
    'round',
    'heat',
    'class',
    'start',
    'grid',
    'driver',
    'carNumber',
    'transponder',
  ])
  const heats = expectTheWholeDay(file)
  expect(heats[0]!.entries.at(-1)).toEqual({
    line: 10,
    driverName: 'Åse Mølgård',
    carNumber: '44',
    transponder: '8120044',
    gridPosition: 9,
  })
  expect(
    file.order.heats.filter((h) => h.isBreak).map((h) => [h.label, shownAt(h.plannedStart), h.line]),
  ).toEqual([
    ['Break, track watered', '10.10. 10:25', 84],
    ['Lunch break', '10.10. 12:05', 167],
    ['Break, finals drawn up', '10.10. 14:25', 250],
  ])
})

test('tabs in UTF-16, a header over two lines with merged cells, and a heading per heat', () => {
  const file = readFile(demoFile('saltmarsh-tabs-merged-header.tsv'))
  expect([file.text.encoding, file.table.by, file.layout.headerLines]).toEqual(['utf-16le', '\t', [4, 5]])
  expect(file.layout.names.slice(0, 5)).toEqual([
    'Start Pos.',
    'Racer Name',
    'Racer Club',
    'Car No.',
    'Transponder No.',
  ])
  expect(file.layout.roles).toEqual(['grid', 'driver', 'ignore', 'carNumber', 'transponder', 'ignore'])
  expect(file.order.titleLines).toEqual([1, 2])
  const heats = expectTheWholeDay(file)
  expect(heats[0]!.entries[0]).toMatchObject({ line: 8, gridPosition: 1 })
  expect(file.order.heats.filter((h) => h.isBreak).map((h) => h.label)).toEqual([
    'Break, track watered',
    'Lunch break',
    'Break, finals drawn up',
  ])
})

test('quoted cells with commas, quotes and line breaks, CRLF, windows-1252, AM and PM', () => {
  const file = readFile(demoFile('saltmarsh-quoted.csv'))
  expect([file.text.encoding, file.text.foundBy, file.table.by]).toEqual(['windows-1252', 'guess', ','])
  const heats = expectTheWholeDay(file)
  expect(heats[9]!.entries.at(-1)?.driverName).toBe('Marchetier, Zoé')
  // The fourth racer's remark spans two lines, so that the fifth stands on line 7.
  expect(heats[0]!.entries.slice(3, 5).map((e) => e.line)).toEqual([5, 7])
})

test('the file with faults: every bad row by its line, field, value and reason; the good rows remain', () => {
  const { order } = readFile(demoFile('saltmarsh-faults.csv'))
  expect(lines(order.problems)).toEqual([
    [2, 2, 'bad', 'Heat number', '', 'is missing, and there is no heat above it'],
    [12, 12, 'bad', 'Planned start', '9:81', 'is not a time of day'],
    [14, 14, 'bad', 'Driver name', '', 'is missing'],
    [16, 16, 'bad', 'Transponder', '2.07E+06', 'was rounded by a spreadsheet; the last digits are lost'],
    [17, 17, 'bad', 'Grid position', 'first', 'is not a place from 1 to 100'],
    [27, 27, 'bad', 'Transponder', '4525919', 'is already in this heat, on line 21'],
    [28, 28, 'bad', 'Planned start', '9:30', 'differs from 9:29, which line 19 gives for the same heat'],
    [
      29,
      29,
      'bad',
      'Columns',
      '5 – Qualifying 1 – 2WD Modified – 9:37 – Tarn – Ines – 21 –…',
      'has 9 cells where the header has 8',
    ],
    [30, 30, 'bad', 'Heat number', 'five', 'is not a heat'],
    [
      34,
      34,
      'bad',
      'Quotes',
      '6,Qualifying 1,4WD Modified,9:45,"Viggo Trass,38,4679605,1',
      'a quotation mark opens a cell and is never closed',
    ],
    [40, 40, 'bad', 'Driver name', '1234567', 'is not a name'],
    [44, 44, 'doubt', 'Planned start', '8:51', 'is earlier than the heat above it'],
    [45, 45, 'bad', 'Transponder', '45 26 519', 'is not a transponder number'],
    [46, 46, 'bad', 'Heat number', 'Printed by the race office', 'is not a heat'],
  ])
  expect(order.problems.every((p) => p.remedy !== '')).toBe(true)
  expect(order.heats.map((h) => [h.number, h.classText, h.entries.length])).toEqual([
    [2, '2WD Modified', 8],
    [3, '2WD Modified', 4],
    [4, '2WD Modified', 8],
    [5, '2WD Modified', 3],
    [6, '4WD Modified', 4],
    [7, 'Truck', 1],
    [7, '4WD Modified', 3],
    [8, '4WD Modified', 1],
  ])
})
