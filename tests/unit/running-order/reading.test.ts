import fc from '../../support/fast-check'
import Papa from 'papaparse'
import { expect, test } from 'vitest'
import { otherDayOf, readWhen, type RunningOrder } from '@/lib/running-order'
import { decodeText, MAX_FILE_BYTES, readTable } from '@/lib/tables'
import { classKey, nameKey, roundKey, roundKindOf } from '@/lib/board/fold-name'
import { readHeatName, readSectionLine } from '@/lib/running-order/section-line'
import { readFile, readText, shownAt, valueOf } from '../../support/running-order'

const bytes = (...b: number[]) => new Uint8Array(b)
const utf16 = (text: string, big = false) => {
  const le = new Uint8Array(new Uint16Array([...text].map((c) => c.charCodeAt(0))).buffer)
  if (big) for (let i = 0; i < le.length; i += 2) [le[i], le[i + 1]] = [le[i + 1]!, le[i]!]
  return le
}
const errorOf = (r: { ok: true } | { ok: false; error: unknown }) => (r.ok ? null : r.error)
const heats = (order: RunningOrder) =>
  order.heats.map(
    (h) =>
      `${h.round}/${h.classText}/${h.label || h.number} ${shownAt(h.plannedStart)} [${h.entries.map((e) => e.driverName).join(', ')}]`,
  )

test('encodings: marks, UTF-16 without a mark, UTF-8 by its bytes, windows-1252 for the rest', () => {
  const text = 'Fahrer;Jörg Ström\n'
  const found = (b: Uint8Array) => {
    const d = valueOf(decodeText(b))
    return [d.encoding, d.foundBy, d.text]
  }
  expect(found(new Uint8Array([0xef, 0xbb, 0xbf, ...new TextEncoder().encode(text)]))).toEqual([
    'utf-8',
    'mark',
    text,
  ])
  expect(found(new TextEncoder().encode(text))).toEqual(['utf-8', 'bytes', text])
  expect(found(new Uint8Array([0xff, 0xfe, ...utf16(text)]))).toEqual(['utf-16le', 'mark', text])
  expect(found(new Uint8Array([0xfe, 0xff, ...utf16(text, true)]))).toEqual(['utf-16be', 'mark', text])
  expect(found(utf16(text))).toEqual(['utf-16le', 'bytes', text])
  expect(found(utf16(text, true))).toEqual(['utf-16be', 'bytes', text])
  // 0x96 is an en dash in windows-1252 and a control code in ISO 8859-1.
  expect(
    found(bytes(...[...'Heat 5 '].map((c) => c.charCodeAt(0)), 0x96, 0x20, 0x4a, 0xf6, 0x72, 0x67)),
  ).toEqual(['windows-1252', 'guess', 'Heat 5 – Jörg'])
})

test('a chosen encoding is used, and refused when the bytes do not fit', () => {
  expect(valueOf(decodeText(bytes(0x4a, 0xf6), 'windows-1250')).text).toBe('Jö')
  expect(errorOf(decodeText(bytes(0x4a, 0xf6), 'utf-8'))).toEqual({
    field: 'Encoding',
    value: 'utf-8',
    reason: 'does not match the file',
    remedy: 'Choose another encoding, or save the file as UTF-8.',
  })
})

test('what is no running order says so: empty, blank, too large, workbook, PDF, binary, one column', () => {
  const refusal = (b: Uint8Array) => errorOf(decodeText(b)) as { value: string; reason: string } | null
  expect(refusal(bytes())?.reason).toBe('is empty')
  expect(refusal(new TextEncoder().encode(' \r\n\t\n'))?.reason).toBe('is blank')
  const large = refusal(new Uint8Array(5 * 1024 * 1024).fill(65))
  expect([large?.value, large?.reason]).toEqual(['5.0 MB', 'is too large for a list'])
  expect(refusal(new Uint8Array(MAX_FILE_BYTES).fill(65))).toBe(null)
  expect(refusal(bytes(0x50, 0x4b, 0x03, 0x04, 1, 2))?.reason).toMatch(/^is a spreadsheet or zip file/)
  expect(refusal(bytes(0xd0, 0xcf, 0x11, 0xe0, 1))?.reason).toMatch(/^is an old spreadsheet/)
  expect(refusal(new TextEncoder().encode('%PDF-1.7'))?.reason).toBe('is a PDF, not text')
  const noise = Uint8Array.from({ length: 4096 }, (_, i) => (i * 73 + (i >> 3)) % 256)
  expect(refusal(noise)?.reason).toBe('is not a text file')
  expect(errorOf(readTable('Heat\n1\n2\n'))).toMatchObject({
    field: 'File',
    reason: 'has only one column: no comma, semicolon, tab or vertical bar separates it',
  })
  expect(errorOf(readTable('a,b\n'.repeat(20_001)))).toMatchObject({ value: '20002 lines' })
})

test('the delimiter is the one that parts rows evenly, whatever else stands in the cells', () => {
  const of = (text: string) => valueOf(readTable(text)).by
  expect(of('Heat;Name;Time\n1;Oduya, Maren;9,5\n1;Lund, Tobiah;8,5\n')).toBe(';')
  expect(of('Heat\tName\tNote\n1\tOduya, Maren\ta, b, c\n')).toBe('\t')
  expect(of('Heat|Name|No\n1|Oduya, Maren|6\n')).toBe('|')
  expect(of('sep=;\nHeat;Name, first\n1;a, b\n')).toBe(';')
  expect(valueOf(readTable('sep=;\nHeat;Name\n1;a\n')).rows[0]).toMatchObject({ line: 2 })
})

test('any table written by another CSV writer is read back cell by cell, with its lines', () => {
  const cell = fc.stringMatching(/^[a-zA-Z0-9äßé",;|'\n ]{0,12}$/)
  const row = fc.array(cell, { minLength: 3, maxLength: 3 })
  fc.assert(
    fc.property(
      fc.array(row, { minLength: 1, maxLength: 8 }),
      fc.constantFrom(',', ';', '\t', '|'),
      (rows, delimiter) => {
        const text = Papa.unparse(rows, { delimiter, newline: '\n', quotes: true })
        const table = valueOf(readTable(text, delimiter as ','))
        const tidy = (c: string) => c.replace(/\s+/g, ' ').trim()
        expect(table.problems).toEqual([])
        expect(table.rows.map((r) => r.cells)).toEqual(
          rows.map((r) => r.map(tidy)).filter((r) => r.some((c) => c !== '')),
        )
        for (const r of table.rows) expect(text.split('\n')[r.line - 1]?.startsWith('"')).toBe(true)
      },
    ),
    { numRuns: 300, seed: 4180 },
  )
})

test('whatever bytes come in, reading ends in a value and never throws', () => {
  const soup = fc.array(
    fc.constantFrom(
      'Heat',
      '5',
      ',',
      ';',
      '\t',
      '"',
      '\n',
      '9:05',
      '25:99',
      'Round 2',
      'A final',
      'Maren',
      '4180317',
      ' – ',
      'Lunch',
      '2026-13-40',
    ),
    { maxLength: 60 },
  )
  fc.assert(
    fc.property(soup, (parts) => {
      const decoded = decodeText(new TextEncoder().encode(parts.join('')))
      if (!decoded.ok || !readTable(decoded.value.text).ok) return
      const { order, table } = readText(parts.join(''))
      const lines = parts.join('').split('\n').length
      expect(order.problems.every((p) => p.line >= 1 && (p.lastLine ?? p.line) <= lines)).toBe(true)
      expect(order.heats.flatMap((h) => h.entries).length).toBeLessThanOrEqual(table.rows.length)
    }),
    { numRuns: 500, seed: 9 },
  )
})

test('an unclosed quotation mark takes its own line only', () => {
  const { order } = readText('Heat,Class,Driver\n1,2WD,"Maren\n1,2WD,Tobiah Lund\n1,2WD,"Nell ""N"" Orr"\n')
  expect(order.problems.map((p) => [p.line, p.field])).toEqual([[2, 'Quotes']])
  expect(heats(order)).toEqual(['Round 1/2WD/1 no time [Tobiah Lund, Nell "N" Orr]'])
})

// ISO 8601-1:2019, 4.2 and 5.4: extended format, with and without offset from UTC. The other forms: common practice, no source.
test.each([
  ['9:05', { clock: [9, 5, 0] }],
  ['09.05', { clock: [9, 5, 0] }],
  ['0905', { clock: [9, 5, 0] }],
  ['9h05', { clock: [9, 5, 0] }],
  ['9:05:30', { clock: [9, 5, 30] }],
  ['9:05 AM', { clock: [9, 5, 0] }],
  ['12:10 a.m.', { clock: [0, 10, 0] }],
  ['12:10 PM', { clock: [12, 10, 0] }],
  ['2 pm', { clock: [14, 0, 0] }],
  ['14:20 Uhr', { clock: [14, 20, 0] }],
  ['2026-10-10T09:05', { day: [2026, 10, 10], clock: [9, 5, 0] }],
  ['2026-10-10 09:05:30', { day: [2026, 10, 10], clock: [9, 5, 30] }],
  ['2026-10-10T09:05+02:00', { day: [2026, 10, 10], clock: [9, 5, 0], instant: '2026-10-10T07:05:00.000Z' }],
  ['2026-10-10T09:05:00Z', { day: [2026, 10, 10], clock: [9, 5, 0], instant: '2026-10-10T09:05:00.000Z' }],
  ['10.10.2026 9:05', { day: [2026, 10, 10], clock: [9, 5, 0] }],
  ['4/10/2026 9:05 AM', { day: [2026, 10, 4], clock: [9, 5, 0] }],
  ['10/25/2026 9:05', { day: [2026, 10, 25], clock: [9, 5, 0] }],
  ['Saturday 10 October 2026', { day: [2026, 10, 10] }],
  ['October 10th, 2026', { day: [2026, 10, 10] }],
  ['Sat 9:05', { weekday: 6, clock: [9, 5, 0] }],
])('%s is understood', (text, expected) => {
  const when = valueOf(readWhen(text))
  expect({
    ...(when.day && { day: [when.day.year, when.day.month, when.day.day] }),
    ...(when.weekday !== undefined && { weekday: when.weekday }),
    ...(when.clock && { clock: [when.clock.hour, when.clock.minute, when.clock.second] }),
    ...(when.instant !== undefined && { instant: new Date(when.instant).toISOString() }),
  }).toEqual(expected)
})

test.each([
  '',
  '9',
  '11:75',
  '24:00',
  '13:05 AM',
  '30.2.2026 9:05',
  '2026-02-30',
  '2026-10-10T25:00',
  'noon',
  '9:5',
])('“%s” is no time', (text) => expect(readWhen(text).ok).toBe(false))

test('dates of two numbers: day first, or month first when said so; in a date column two-digit years are dates', () => {
  const day = (text: string, order?: 'month-first') => valueOf(readWhen(text, order, 'date')).day
  expect(day('04/10/2026')).toEqual({ year: 2026, month: 10, day: 4 })
  expect(day('04/10/2026', 'month-first')).toEqual({ year: 2026, month: 4, day: 10 })
  expect(day('02.05.26')).toEqual({ year: 2026, month: 5, day: 2 })
})

test('midnight and the second day: a jump back of more than six hours begins the next day, a small one is doubted', () => {
  const text = 'Heat,Class,Start,Driver\n1,C,23:50,A B\n2,C,0:10,A B\n3,C,9:00,A B\n4,C,8:50,A B\n'
  const { order } = readText(text)
  expect(order.heats.map((h) => shownAt(h.plannedStart))).toEqual([
    '10.10. 23:50',
    '11.10. 0:10',
    '11.10. 9:00',
    '11.10. 8:50',
  ])
  expect(order.problems.map((p) => [p.line, p.severity, p.value])).toEqual([[5, 'doubt', '8:50']])
  const same = readText(text, { rollOver: false })
  expect(same.order.heats.map((h) => shownAt(h.plannedStart))[1]).toBe('10.10. 0:10')
})

test('days named by a column, a heading or a weekday hold for the rows below', () => {
  const column = readText(
    'Heat,Class,Date,Start,Driver\n1,C,2026-10-10,9:00,A B\n2,C,,9:10,A B\n3,C,11.10.2026,9:00,A B\n',
  )
  expect(column.order.heats.map((h) => shownAt(h.plannedStart))).toEqual([
    '10.10. 9:00',
    '10.10. 9:10',
    '11.10. 9:00',
  ])
  const heading = readText(
    'Pos,Driver,Transponder\nSaturday,,\nHeat 1 – C – 9:00,,\n1,A B,1234567\nSunday,,\nHeat 2 – C – 9:00,,\n1,A B,1234567\n',
  )
  expect(heading.order.heats.map((h) => shownAt(h.plannedStart))).toEqual(['10.10. 9:00', '11.10. 9:00'])
  const far = readText('Heat,Class,Start,Driver\n1,C,2025-10-10 9:00,A B\n2,C,9:00,A B\n')
  expect(far.order.problems[0]).toMatchObject({
    line: 2,
    reason: 'is more than 14 days away from the first day of the meeting',
  })
  // One cause, not one per row: the day that the file means, for the meeting's first day to be set to it.
  expect(otherDayOf(far.order.problems)).toEqual({ day: { year: 2025, month: 10, day: 10 }, rows: 2 })
  const right = readText('Heat,Class,Start,Driver\n1,C,2025-10-10 9:00,A B\n2,C,9:xx,A B\n', {
    firstDay: { year: 2025, month: 10, day: 10 },
  })
  expect(right.order.problems).toHaveLength(1)
  expect(otherDayOf(right.order.problems)).toBeNull()
})

test('cells that merging left blank hold the value above them; a bad row takes its blank followers with it', () => {
  const { order } = readText(
    'Heat;Class;Start;Driver\n1;2WD;9:00;A B\n;;;C D\n2;4WD;9:xx;E F\n;;;G H\n3;;9:20;I J\n',
  )
  expect(heats(order)).toEqual(['Round 1/2WD/1 10.10. 9:00 [A B, C D]', 'Round 1/4WD/3 10.10. 9:20 [I J]'])
  expect(order.problems.map((p) => [p.line, p.lastLine, p.field])).toEqual([[4, 5, 'Planned start']])
})

test('headings: a heat listed twice or with a bad time is named with its rows', () => {
  const { order } = readText(
    [
      'Pos,Driver,Car no,Transponder',
      'Heat 5 – 4WD modified – 11:20,,,',
      '1,Maren Oduya,14,4180317',
      '"Heat 5, 4WD Modified, 11:40",,,',
      '1,Tobiah Lund,23,5529041',
      '2,Anouk Reyes,7,3917742',
      'Heat 6 – 4WD modified – 11:75,,,',
      '1,Joss Whitlow,31,6642190',
      'Round 2,,,',
      'Heat 5 – 4WD modified – 1:10 PM,,,',
      'Pos,Driver,Car no,Transponder',
      '1,Maren Oduya,14,4180317',
    ].join('\n'),
  )
  expect(heats(order)).toEqual([
    'Round 1/4WD modified/5 10.10. 11:20 [Maren Oduya]',
    'Round 2/4WD modified/5 10.10. 13:10 [Maren Oduya]',
  ])
  expect(order.problems.map((p) => [p.line, p.lastLine, p.field, p.reason])).toEqual([
    [4, 6, 'Heat number', 'is listed twice: line 2 lists it too'],
    [7, 8, 'Planned start', 'is not a time of day'],
  ])
})

const FINAL = { kind: 'heat', classText: '4WD modified' }
test.each([
  ['Heat 5 – 4WD modified – 11:20', { kind: 'heat', heat: 5, classText: '4WD modified', clock: 11 }],
  [
    'Race 12 of 40 | Round 2 | 2WD Stock | 2:05 PM',
    { kind: 'heat', heat: 12, round: 'Round 2', classText: '2WD Stock', clock: 14 },
  ],
  [
    'Qualifying 2 Heat 3 (1:10 4WD Buggy) 10:48',
    { kind: 'heat', heat: 3, round: 'Qualifying 2', classText: '1:10 4WD Buggy', clock: 10 },
  ],
  ['A final – 4WD modified – leg 2', { ...FINAL, heat: 1, label: 'A final', round: 'Finals leg 2' }],
  [
    '2WD Modified – A Main – Leg 2',
    { ...FINAL, classText: '2WD Modified', heat: 1, label: 'A final', round: 'Finals leg 2' },
  ],
  ['4WD modified: B final, leg 3', { ...FINAL, heat: 2, label: 'B final', round: 'Finals leg 3' }],
  ['A-Main 2 – 4WD modified', { ...FINAL, heat: 1, label: 'A final', round: 'Finals leg 2' }],
  [
    '4WD modified – A-Main #2 – 9:30',
    { ...FINAL, heat: 1, label: 'A final', round: 'Finals leg 2', clock: 9 },
  ],
  ['4WD modified – Final B1', { ...FINAL, heat: 2, label: 'B final', round: 'Finals leg 1' }],
  ['A main, 4WD modified, 9:30', { ...FINAL, heat: 1, label: 'A final', clock: 9 }],
  ['A main 4WD modified', { ...FINAL, heat: 1, label: 'A final' }],
  ['Lunch break – 12:05', { kind: 'break', clock: 12 }],
  ['Qualifying round 2', { kind: 'round', round: 'Qualifying round 2' }],
  ['Saturday 10 October 2026', { kind: 'day' }],
])('the heading “%s”', (text, expected) => {
  const s = readSectionLine(text)
  expect({
    kind: s?.kind,
    ...(s?.heat && { heat: s.heat.number }),
    ...(s?.heat?.label && { label: s.heat.label }),
    ...((s?.heat?.round ?? s?.round) && { round: s?.heat?.round ?? s?.round }),
    ...(s?.classText && { classText: s.classText }),
    ...(s?.when?.clock && { clock: s.when.clock.hour }),
  }).toEqual(expected)
})

test('a lone name or note is no heading', () => {
  for (const text of ['Maren Oduya', 'Printed 9 October', '4WD Modified', '', '12'])
    expect(readSectionLine(text)).toBe(null)
})

test('heat names', () => {
  expect(readHeatName('Heat 05')).toEqual({ number: 5 })
  expect(readHeatName('R2 H5')).toEqual({ number: 5, round: 'Round 2' })
  expect(readHeatName('B')).toEqual({ number: 2, label: 'B final' })
  expect(readHeatName('A final leg 2')).toEqual({ number: 1, label: 'A final', round: 'Finals leg 2' })
  expect(readHeatName('A-Main #2')).toEqual({ number: 1, label: 'A final', round: 'Finals leg 2' })
  expect([readHeatName('5?'), readHeatName('five'), readHeatName('')]).toEqual([null, null, null])
})

test('names fold case, diacritics and order', () => {
  expect(nameKey('Oduya, Maren')).toBe(nameKey('MAREN oduya'))
  expect(nameKey('Åse Mølgård')).toBe('ase molgard')
  expect(classKey('4 WD Modified')).toBe(classKey('modified-4wd'))
  expect(['2', 'Round 2', 'Q2', 'qualifying round 02', 'Qualifying 2'].map(roundKey)).toEqual(
    Array(5).fill('qualifying 2'),
  )
  expect(roundKey('Practice 2')).not.toBe(roundKey('Round 2'))
  expect(roundKey('Finals')).toBe(roundKey('final'))
  expect(['Mains', 'A main', 'Finals', 'Final'].map(roundKindOf)).toEqual(Array(4).fill('final'))
})

test('given and family names in two columns; a heat list without racers; a file without a header', () => {
  expect(heats(readText('Heat,Class,First name,Surname\n1,C,Maren,Oduya\n').order)).toEqual([
    'Round 1/C/1 no time [Maren Oduya]',
  ])
  expect(heats(readText('Heat,Class,Start\n1,C,9:00\n2,C,9:10\n').order)).toEqual([
    'Round 1/C/1 10.10. 9:00 []',
    'Round 1/C/2 10.10. 9:10 []',
  ])
  const { layout } = readFile(
    new TextEncoder().encode('1;9:00;Maren Oduya;4180317\n1;9:00;Tobiah Lund;5529041\n'),
  )
  expect(layout).toEqual({
    headerLines: [],
    names: ['Column 1', 'Column 2', 'Column 3', 'Column 4'],
    roles: ['ignore', 'start', 'driver', 'transponder'],
  })
})
