import { expect, test } from 'vitest'
import * as Y from 'yjs'
import { BoardReading, writeField } from '@/lib/board'
import { meetingFacts, seasonRuns, withKit, type SeasonRun } from '@/lib/season'
import type { Json } from '@/lib/core/json'

const START = Date.UTC(2026, 4, 2, 10)

/** A kit with two cars and a meeting with three heats; the parts that a test is about are written on top. */
function board(
  fields: readonly [kind: 'kit' | 'meeting', collection: string, id: string, Record<string, Json>][],
) {
  const docs = { kit: new Y.Doc(), meeting: new Y.Doc() }
  const put = (kind: 'kit' | 'meeting', collection: string, id: string, values: Record<string, Json>) => {
    for (const [field, value] of Object.entries(values)) writeField(docs[kind], collection, id, field, value)
  }
  put('kit', 'people', 'ada', { name: 'Ada Lowe', role: 'driver' })
  put('kit', 'people', 'ben', { name: 'Ben Tarn', role: 'driver' })
  put('kit', 'cars', 'rook', { name: 'Rook', driverId: 'ada' })
  put('kit', 'cars', 'wren', { name: 'Wren', driverId: 'ben' })
  put('kit', 'tracks', 'bowl', { name: 'The Bowl', surface: 'clay' })
  put('meeting', 'meeting', 'meeting', { name: 'Spring', startsAt: START, trackId: 'bowl' })
  put('meeting', 'rounds', 'q1', { name: 'Qualifying 1', kind: 'qualifying' })
  for (const n of [1, 2, 3]) put('meeting', 'heats', `h${n}`, { roundId: 'q1', number: n, order: n })
  put('meeting', 'entries', 'a', { heatId: 'h2', carId: 'rook', driverName: 'Ada Lowe' })
  put('meeting', 'entries', 'b', { heatId: 'h1', carId: 'wren', driverName: 'Ben Tarn' })
  put('meeting', 'entries', 'other', { heatId: 'h1', driverName: 'Somebody Else' })
  for (const f of fields) put(...f)
  return docs
}
const stamp = (v: Json, at = START): Json => ({ v, by: 'ada', at })
const viewOf = (docs: ReturnType<typeof board>) => new BoardReading(docs).view()
const runsOf = (docs: ReturnType<typeof board>): SeasonRun[] => {
  const view = viewOf(docs)
  return seasonRuns(view, view, 'spring')
}
const record = (values: Record<string, Json>, more: Record<string, Json> = {}): Json =>
  stamp({
    frozenAt: START + 1000,
    values,
    packId: null,
    tireSetId: null,
    missing: [],
    accepted: true,
    digest: 'd',
    ...more,
  })

test('runs that have begun are there in the order driven; nobody else’s, and none to come', () => {
  const runs = runsOf(
    board([
      ['meeting', 'heats', 'h1', { startedAt: stamp(START + 60_000) }],
      ['meeting', 'heats', 'h2', { startedAt: stamp(START) }],
      ['meeting', 'entries', 'c', { heatId: 'h3', carId: 'rook' }],
      ['meeting', 'runs', 'other', { result: stamp({ laps: 12, seconds: 301 }) }],
    ]),
  )
  expect(runs.map((r) => [r.runId, r.heat, r.at])).toEqual([
    ['a', 'Qualifying 1, heat 2', START],
    ['b', 'Qualifying 1, heat 1', START + 60_000],
  ])
  expect(runs[0]).toMatchObject({
    meetingId: 'spring',
    meetingName: 'Spring',
    day: START,
    trackId: 'bowl',
    surface: 'clay',
    carId: 'rook',
    driverId: 'ada',
  })
})

test('a start that nobody stamped is told by what came of the run', () => {
  expect(runsOf(board([]))).toEqual([])
  expect(
    runsOf(board([['meeting', 'runs', 'a', { chargeBackMah: stamp(2800) }]])).map((r) => [r.runId, r.at]),
  ).toEqual([['a', null]])
})

test('what was in the car is the record’s: fitted before assigned, the motor apart, nothing where none was frozen', () => {
  const value = (assigned: Json, fitted: Json): Json => ({ assigned, fitted, readBack: false })
  const [run] = runsOf(
    board([
      [
        'meeting',
        'runs',
        'a',
        {
          record: record(
            {
              pinion: value(22, 21),
              spur: value(82, null),
              wing: value(null, null),
              motor: value(null, 'm1'),
            },
            { packId: 'p1', tireSetId: 't1' },
          ),
          packId: stamp('p2'),
        },
      ],
      ['meeting', 'cardValues', 'rook.pinion', { fitted: stamp(19) }],
    ]),
  )
  expect(run).toMatchObject({
    values: { pinion: 21, spur: 82 },
    motorId: 'm1',
    packId: 'p1',
    tireSetId: 't1',
  })
  expect(run?.at).toBe(START + 1000)
  const [bare] = runsOf(
    board([['meeting', 'runs', 'a', { packId: stamp('p2'), laps: stamp([20, 21, 22.5]) }]]),
  )
  expect(bare).toMatchObject({ values: {}, motorId: null, packId: 'p2', bestS: 20, laps: null })
})

test('what came of it: result, laps, readings, the air at its start, words, remarks and notes', () => {
  const [run] = runsOf(
    board([
      [
        'meeting',
        'runs',
        'a',
        {
          result: stamp({ laps: 13, seconds: 302.5, position: 4, bestLapS: 22.1 }),
          chargeBackMah: stamp(2900),
          restVoltageV: stamp(7.6),
          motorC: stamp(81),
          driverWords: stamp('Loose on entry'),
        },
      ],
      ['meeting', 'heats', 'h2', { startedAt: stamp(START + 3_600_000) }],
      [
        'meeting',
        'remarks',
        'a.x',
        { said: stamp({ wordId: 'word-loose', strength: 3 }), phase: stamp('entry') },
      ],
      ['meeting', 'conditions', 'c1', { airC: stamp(17, START), trackC: stamp(21, START) }],
      ['meeting', 'conditions', 'c2', { airC: stamp(25, START + 7_200_000) }],
      ['meeting', 'notes', 'n1', { about: 'car:rook', text: stamp('New bearings') }],
      ['meeting', 'notes', 'n2', { about: 'car:wren', text: stamp('Not of this car') }],
      ['meeting', 'notes', 'n3', { about: 'meeting', text: stamp('Bring the long cable') }],
      ['meeting', 'photos', 'ph', { runId: 'a', caption: 'Worn outside' }],
    ]),
  )
  expect(run).toMatchObject({
    laps: 13,
    timeS: 302.5,
    place: 4,
    bestS: 22.1,
    meanS: 302.5 / 13,
    chargeBackMah: 2900,
    restVoltageV: 7.6,
    canC: 81,
    airC: 17,
    trackC: 21,
    words: 'Loose on entry',
    remarks: [{ wordId: 'word-loose', strength: 3, phase: 'entry' }],
    notes: ['Worn outside', 'New bearings', 'Bring the long cable'],
  })
})

test('a car that did not start has no laps, and says so', () => {
  const [run] = runsOf(
    board([['meeting', 'runs', 'a', { result: stamp({ laps: 0, seconds: 0, ended: 'did-not-start' }) }]]),
  )
  expect(run).toMatchObject({ ended: 'did-not-start', laps: null, timeS: null, meanS: null })
})

test('whoever the running order names drove it, whosever the car is by now', () => {
  const docs = board([
    ['meeting', 'heats', 'h2', { startedAt: stamp(START) }],
    ['meeting', 'entries', 'a', { driverName: 'TARN Ben' }],
  ])
  expect(runsOf(docs)[0]?.driverId).toBe('ben')
  writeField(docs.meeting, 'entries', 'a', 'driverName', 'Nobody we know')
  expect(runsOf(docs)[0]).toMatchObject({ driverId: 'ada', driverName: 'Nobody we know' })
})

test('what devices keep of a meeting is plain JSON, and gives the same runs', () => {
  const docs = board([
    ['meeting', 'heats', 'h2', { startedAt: stamp(START) }],
    ['meeting', 'runs', 'a', { record: record({ pinion: { assigned: 20, fitted: 20, readBack: false } }) }],
  ])
  const facts = meetingFacts(viewOf(docs))
  const kept = JSON.parse(JSON.stringify(facts)) as typeof facts
  expect(kept).toEqual(facts)
  expect(withKit(viewOf(docs), 'spring', kept)).toEqual(runsOf(docs))
})
