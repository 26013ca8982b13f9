import { expect, test } from 'vitest'
import { readTable } from '@/lib/tables'
import { readText, shownAt } from '../../support/running-order'
import { must } from '../../support/must'

/** A running order as it comes when a printout is copied, invented for this test. */
const ORDER = `Fenmere Club Round

Heat 1 – 2WD Modified – 10.10.2026 9:05

No   Driver                  Transponder
  7  Tamsin Orrell               3100417
 12  Ruben Falk                  3100520
     Nella Brandt-Ilves          3100633

Heat 2 – 4WD Modified – 9:15

No   Driver                  Transponder
  7  Tamsin Orrell               3200417
 31  Idris Thorne                3200718
`

test('a running order in columns is read with its headings, and an empty cell stays empty', () => {
  const { table, order } = readText(ORDER)
  expect(table.by).toBe('columns')
  expect(order.problems).toEqual([])
  expect(order.heats.map((h) => [h.number, h.classText, shownAt(h.plannedStart)])).toEqual([
    [1, '2WD Modified', '10.10. 9:05'],
    [2, '4WD Modified', '10.10. 9:15'],
  ])
  expect(order.heats.map((h) => h.entries.map((e) => [e.carNumber, e.driverName, e.transponder]))).toEqual([
    [
      ['7', 'Tamsin Orrell', '3100417'],
      ['12', 'Ruben Falk', '3100520'],
      ['', 'Nella Brandt-Ilves', '3100633'],
    ],
    [
      ['7', 'Tamsin Orrell', '3200417'],
      ['31', 'Idris Thorne', '3200718'],
    ],
  ])
})

test('commas of decimals and of names part no cells', () => {
  const text = `Pos   Name              Laps       Time     Best
  1   Oduya, Maren        12   5:03,921   24,758
  2   Wray, Hedda         12   5:03,989   24,979
`
  const table = must(readTable(text))
  expect(table.by).toBe('columns')
  expect(table.rows[1]?.cells).toEqual(['1', 'Oduya, Maren', '12', '5:03,921', '24,758'])
})

test('wide gaps beside commas that part cells are no columns', () => {
  const text = 'Heat,   No,   Name,   Time\n1,   14,   Maren Oduya,   9:05\n1,   17,   Hedda Wray,   9:05\n'
  expect(must(readTable(text)).by).toBe(',')
})

test('no-break blanks stand for blanks', () => {
  const table = must(
    readTable(
      'No   Name\u00a0\u00a0\u00a0\u00a0\u00a0\u00a0\u00a0\u00a0\u00a0\u00a0\u00a0\u00a0Laps\n 7   Tamsin\u00a0Orrell   12\n 9   Ruben Falk      11\n',
    ),
  )
  expect(table.rows.map((r) => r.cells)).toEqual([
    ['No', 'Name', 'Laps'],
    ['7', 'Tamsin Orrell', '12'],
    ['9', 'Ruben Falk', '11'],
  ])
})

test('cells are told apart as somebody said, whatever was found', () => {
  const text = 'No   Name     Laps, time\n 7   Tamsin   12, 5:03\n'
  expect(must(readTable(text, 'columns')).rows[1]?.cells).toEqual(['7', 'Tamsin', '12, 5:03'])
  expect(must(readTable(text, ',')).rows[1]?.cells).toEqual(['7 Tamsin 12', '5:03'])
})
