import { describe, expect, test } from 'vitest'
import { DEMO_ROSTER } from '@/demo/roster'
import { NO_CHOICES, planImport, type ImportPlan, type ReadingChoices } from '@/lib/running-order'
import { readFile, shownAt } from '../../support/running-order'
import { bring, describe as inWords, meetingBoard } from '../../support/running-order-board'

/** How other race offices write a running order, and beside each what a person who reads it says is right. */
interface Habit {
  habit: string
  text: string
  encode?: (text: string) => Uint8Array
  choices?: Partial<ReadingChoices>
  heats: number
  /** First and last planned start. */
  from: string
  to: string
  /** Cars taken for ours without a question, sorted, once per entry. */
  matched: string[]
  /** Who is asked about, and as which car. */
  asked: [string, string | null][]
  /** Rows that can't be read. */
  refused: string[]
}

const of = (car: string) => DEMO_ROSTER.find((r) => r.carId === car)!
const rook = of('rook')
const heron = of('heron')

const utf16 = (text: string): Uint8Array => {
  const bytes = new Uint8Array(2 + text.length * 2)
  bytes.set([0xff, 0xfe])
  for (let i = 0; i < text.length; i++) {
    bytes[2 + i * 2] = text.charCodeAt(i) & 0xff
    bytes[3 + i * 2] = text.charCodeAt(i) >> 8
  }
  return bytes
}
const latin1 = (text: string): Uint8Array => Uint8Array.from(text, (c) => c.charCodeAt(0))
const lines = (...l: string[]) => `${l.join('\n')}\n`

const HABITS: Habit[] = [
  {
    habit: 'AM and PM, month first, quoted cells',
    text: lines(
      'Race,Date,Start Time,Category,"Racer","Bib No",Transponder',
      `1,10/10/2026,"11:50 AM",4WD Modified,"Maren Oduya",${rook.carNumber},${rook.transponder}`,
      '1,10/10/2026,"11:50 AM",4WD Modified,"Wilbur Stokes",7,7000001',
      '2,10/10/2026,"12:05 PM",4WD Modified,"Ada Thorne",8,7000002',
      '3,10/10/2026,"1:10 PM",4WD Modified,"Nico Farrow",9,7000003',
    ),
    choices: { dateOrder: 'month-first' },
    heats: 3,
    from: '10.10. 11:50',
    to: '10.10. 13:10',
    matched: ['rook'],
    asked: [],
    refused: [],
  },
  {
    habit: '“Last, First” in one cell, semicolons',
    text: lines(
      'Heat;Time;Class;Name;No',
      `1;9:00;4WD Modified;"Oduya, Maren";${rook.carNumber}`,
      `1;9:00;4WD Modified;"Lund, Tobiah";${heron.carNumber}`,
      '1;9:00;4WD Modified;"Thorne, Ada";8',
    ),
    heats: 1,
    from: '10.10. 9:00',
    to: '10.10. 9:00',
    matched: ['heron', 'rook'],
    asked: [],
    refused: [],
  },
  {
    habit: 'a namesake of our driver, with another number and transponder',
    text: lines(
      'Heat;Time;Class;Driver;No;Transponder',
      `1;9:00;4WD Modified;Maren Oduya;${rook.carNumber};${rook.transponder}`,
      '2;9:10;4WD Modified;Maren Oduya;77;7000077',
    ),
    heats: 2,
    from: '10.10. 9:00',
    to: '10.10. 9:10',
    matched: ['rook'],
    asked: [['Maren Oduya', 'rook']],
    refused: [],
  },
  {
    habit: 'two people of one name in one heat',
    text: lines(
      'Heat;Time;Class;Driver;No;Transponder',
      '1;9:00;4WD Modified;Sven Aker;12;7000012',
      '1;9:00;4WD Modified;Sven Aker;13;7000013',
      '1;9:00;4WD Modified;Sven Aker;12;7000012',
    ),
    heats: 1,
    from: '10.10. 9:00',
    to: '10.10. 9:00',
    matched: [],
    asked: [],
    refused: ['4 Transponder'],
  },
  {
    habit: 'our transponder under a stranger’s name',
    text: lines(
      'Heat;Time;Class;Driver;No;Transponder',
      `1;9:00;4WD Modified;Someone Else;50;${heron.transponder}`,
    ),
    heats: 1,
    from: '10.10. 9:00',
    to: '10.10. 9:00',
    matched: [],
    asked: [['Someone Else', 'heron']],
    refused: [],
  },
  {
    habit: 'a rented transponder, name and number as ever',
    text: lines(
      'Heat;Time;Class;Driver;No;Transponder',
      `1;9:00;4WD Modified;Maren Oduya;${rook.carNumber};9912345`,
    ),
    heats: 1,
    from: '10.10. 9:00',
    to: '10.10. 9:00',
    matched: ['rook'],
    asked: [],
    refused: [],
  },
  {
    habit: 'the same heats listed for each round under headings',
    text: lines(
      'Round 1',
      'Heat,Class,Time,Driver',
      '1,4WD Modified,9:00,Maren Oduya',
      '2,4WD Modified,9:10,Ada Thorne',
      'Round 2',
      '1,4WD Modified,10:00,Maren Oduya',
      '2,4WD Modified,10:10,Ada Thorne',
    ),
    heats: 4,
    from: '10.10. 9:00',
    to: '10.10. 10:10',
    matched: ['rook', 'rook'],
    asked: [],
    refused: [],
  },
  {
    habit: 'dots for colons and a comma in no place',
    text: lines(
      'Lauf\tUhrzeit\tKlasse\tFahrer',
      '1\t9.05\t4WD Modified\tMaren Oduya',
      '2\t14.20\t4WD Modified\tAda Thorne',
    ),
    heats: 2,
    from: '10.10. 9:05',
    to: '10.10. 14:20',
    matched: ['rook'],
    asked: [],
    refused: [],
  },
  {
    habit: 'UTF-16 with a byte order mark, accents, tabs',
    text: lines(
      'Heat\tStart\tClass\tDriver',
      '1\t9:00\t4WD Modified\tAnouk Réyes',
      '1\t9:00\t4WD Modified\tØyvind Strøm',
    ),
    encode: utf16,
    heats: 1,
    from: '10.10. 9:00',
    to: '10.10. 9:00',
    matched: ['kestrel'],
    asked: [],
    refused: [],
  },
  {
    habit: 'two days, named by weekday headings',
    text: lines(
      'Heat,Class,Time,Driver',
      'Saturday',
      '1,4WD Modified,16:00,Maren Oduya',
      'Sunday',
      '2,4WD Modified,8:30,Maren Oduya',
    ),
    heats: 2,
    from: '10.10. 16:00',
    to: '11.10. 8:30',
    matched: ['rook', 'rook'],
    asked: [],
    refused: [],
  },
  {
    habit: 'first and last name apart, Latin-1, a number that a spreadsheet rounded',
    text: lines(
      'Heat;Start;Class;First name;Surname;Transponder',
      `1;9:00;4WD Modified;Maren;Oduya;${rook.transponder}`,
      '1;9:00;4WD Modified;Zoë;Färber;7000031',
      '1;9:00;4WD Modified;Bo;Lindqvist;7.0E+06',
    ),
    encode: latin1,
    heats: 1,
    from: '10.10. 9:00',
    to: '10.10. 9:00',
    matched: ['rook'],
    asked: [],
    refused: ['4 Transponder'],
  },
  {
    habit: 'breaks between the heats, blank cells under merged ones',
    text: lines(
      'Heat,Start,Class,Driver',
      '1,9:00,4WD Modified,Maren Oduya',
      ',,,Ada Thorne',
      'Break,9:20,,',
      '2,9:40,2WD Modified,Tobiah Lund',
      ',,,Nico Farrow',
    ),
    heats: 2,
    from: '10.10. 9:00',
    to: '10.10. 9:40',
    matched: ['plover', 'rook'],
    asked: [],
    refused: [],
  },
]

const racing = (plan: ImportPlan) => plan.heats.filter((h) => !h.listed.isBreak)

describe('running orders of other habits', () => {
  test.each(HABITS)('$habit', (h) => {
    const board = meetingBoard()
    const { order } = readFile((h.encode ?? ((t) => new TextEncoder().encode(t)))(h.text), h.choices)
    const plan = planImport(board.view(), order, { ...NO_CHOICES, leaveOutBad: true })
    const starts = racing(plan).map((p) => p.listed.plannedStart)
    const entries = plan.heats.flatMap((p) => p.entries)
    expect({
      heats: racing(plan).length,
      from: shownAt(starts[0] ?? null),
      to: shownAt(starts.at(-1) ?? null),
      matched: entries.flatMap((e) => (e.carId ? [e.carId] : [])).sort(),
      asked: entries.filter((e) => e.ask).map((e) => [e.listed.driverName, e.match.suggested]),
      refused: order.problems.filter((p) => p.severity === 'bad').map((p) => `${p.line} ${p.field}`),
    }).toEqual({
      heats: h.heats,
      from: h.from,
      to: h.to,
      matched: h.matched,
      asked: h.asked,
      refused: h.refused,
    })
  })
})

describe('a namesake', () => {
  const text = lines(
    'Heat;Time;Class;Driver;No;Transponder',
    `1;9:00;4WD Modified;Maren Oduya;${rook.carNumber};${rook.transponder}`,
    '1;9:00;4WD Modified;Maren Oduya;77;7000077',
  )
  const order = () => readFile(new TextEncoder().encode(text)).order

  test('holds the import up until somebody has said whether it is our car', () => {
    const board = meetingBoard()
    const refused = bring(board, order())
    expect(refused.result.ok ? '' : refused.result.error.reason).toBe('does not say whether 1 racer is ours')
    expect(board.view().heats.live).toEqual([])
    const [racer] = refused.shown.open
    const { result } = bring(board, order(), { ...NO_CHOICES, cars: { [racer!]: null } })
    expect(result.ok).toBe(true)
    const cars = board.view().entries.live.map((e) => [e.carNumber, e.carId ?? null])
    expect(cars.sort()).toEqual(
      [
        [rook.carNumber, 'rook'],
        ['77', null],
      ].sort(),
    )
  })

  test('is not asked about again by the same file, and a re-import changes nothing', () => {
    const board = meetingBoard()
    const first = planImport(board.view(), order(), NO_CHOICES)
    bring(board, order(), { ...NO_CHOICES, cars: { [first.open[0]!]: null } })
    const again = planImport(board.view(), order(), NO_CHOICES)
    expect([again.open, again.writes, again.changes]).toEqual([[], [], []])
  })

  test('two racers whose transponders were mixed up keep their names and what hangs on their runs', () => {
    const board = meetingBoard()
    const list = (a: string, b: string) =>
      readFile(
        new TextEncoder().encode(
          lines(
            'Heat;Time;Class;Driver;No;Transponder',
            `1;9:00;4WD Modified;Ada Thorne;5;${a}`,
            `1;9:00;4WD Modified;Nico Farrow;6;${b}`,
          ),
        ),
      ).order
    bring(board, list('7000001', '7000002'))
    const { shown } = bring(board, list('7000002', '7000001'))
    expect(shown.changes.map(inWords)).toEqual([
      'Ada Thorne, Round 1, 4WD Modified, heat 1: transponder 7000001 to 7000002',
      'Nico Farrow, Round 1, 4WD Modified, heat 1: transponder 7000002 to 7000001',
    ])
  })
})

describe('a re-issue', () => {
  const day = (swap: boolean, late = 0) => {
    const at = (n: number) => {
      const minutes = 9 * 60 + 10 * n + late
      return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')}`
    }
    const slots = [1, 2, 3, 4, 5, 6]
    if (swap) [slots[2], slots[3]] = [4, 3]
    return readFile(
      new TextEncoder().encode(
        lines(
          'Heat;Time;Class;Driver',
          ...slots.map((n, i) => `${n};${at(i)};4WD Modified;Racer ${'ABCDEF'[n - 1]}x`),
        ),
      ),
    ).order
  }

  test('with two heats swapped says so in one line', () => {
    const board = meetingBoard()
    bring(board, day(false))
    const { shown, result } = bring(board, day(true))
    expect(shown.changes.map(inWords)).toEqual([
      'Round 1, 4WD Modified, heat 4 and Round 1, 4WD Modified, heat 3 swapped',
    ])
    expect(result.ok).toBe(true)
    const order = [...board.view().heats.live].sort((a, b) => (a.order ?? 0) - (b.order ?? 0))
    expect(order.map((h) => h.number)).toEqual([1, 2, 4, 3, 5, 6])
  })

  test('with two heats swapped on a day that moved as a whole says both', () => {
    const board = meetingBoard()
    bring(board, day(false))
    const { shown } = bring(board, day(true, 20))
    const kinds = shown.changes.map((c) => c.kind)
    expect(kinds.filter((k) => k === 'heats-swapped')).toHaveLength(1)
    expect(kinds.filter((k) => k === 'time-moved')).toHaveLength(4)
  })

  test('that puts all racers of two heats into the other one says that the heats are swapped', () => {
    const board = meetingBoard()
    const list = (one: string, two: string) =>
      readFile(
        new TextEncoder().encode(
          lines(
            'Heat;Time;Class;Driver',
            ...['A', 'B', 'C'].map((x) => `1;9:00;4WD Modified;${one}${x}x Vale`),
            ...['A', 'B', 'C'].map((x) => `2;9:10;4WD Modified;${two}${x}x Moor`),
          ),
        ),
      ).order
    bring(board, list('K', 'L'))
    const swapped = readFile(
      new TextEncoder().encode(
        lines(
          'Heat;Time;Class;Driver',
          ...['A', 'B', 'C'].map((x) => `1;9:00;4WD Modified;L${x}x Moor`),
          ...['A', 'B', 'C'].map((x) => `2;9:10;4WD Modified;K${x}x Vale`),
        ),
      ),
    ).order
    const { shown } = bring(board, swapped)
    expect(shown.changes.map(inWords)).toEqual([
      'Round 1, 4WD Modified, heat 2 and Round 1, 4WD Modified, heat 1 swapped',
    ])
  })
})
