import { expect, test } from 'vitest'
import { carOfRecord, collectionDef, drives, signatureOf, signerOf } from '@/lib/board/ownership'
import { isClosedByReading } from '@/lib/board/rule-closing'
import { WRITE_RULES, type FieldChange, type NamedRule, type PolicyContext } from '@/lib/board/write-rules'
import type { Json } from '@/lib/core/json'
import { boardReader } from '../../support/board-reader'

const NOW = 1_700_000_000_000
const MINUTE = 60_000
const DAY = 24 * 60 * MINUTE

/** What a rule says to a change that dana makes: null, or reason and remedy. */
function ask(rule: NamedRule, change: Partial<FieldChange>, ctx: Partial<PolicyContext> = {}) {
  const result = WRITE_RULES[rule].check(
    { role: 'driver', personId: 'dana', read: boardReader({}), now: NOW, ...ctx },
    {
      doc: 'meeting',
      collection: 'runs',
      recordId: 'run',
      field: 'accepted',
      before: undefined,
      after: undefined,
      ...change,
    },
  )
  return result.ok ? null : `${result.error.field}: ${result.error.reason}. ${result.error.remedy}`
}
const at = (ms: number): Json => ({ by: 'dana', at: ms, v: true })
const about = (v: Json): Json => ({ by: 'dana', at: NOW, v })

test('own-name: whoever writes signs', () => {
  expect(ask('own-name', { after: at(NOW) })).toBeNull()
  expect(ask('own-name', { after: 'no signature' })).toBeNull()
  expect(ask('own-name', { after: { by: 'eli', at: NOW } })).toBe(
    'Accept: it is signed with somebody else’s name. Sign with your own.',
  )
})

const AHEAD =
  'Accept: its time is ahead of the server’s clock. Check the clocks of this phone and the server, then do it again.'
const BEHIND = 'Accept: its time is more than 30 days ago. If it is still true, do it again.'

test('stamped-now: at most five minutes ahead and thirty days behind, by the server’s clock alone', () => {
  const stamp = (ms: number, ctx?: Partial<PolicyContext>) => ask('stamped-now', { after: at(ms) }, ctx)
  expect([stamp(NOW), stamp(NOW + 5 * MINUTE), stamp(NOW - 30 * DAY)]).toEqual([null, null, null])
  expect(stamp(NOW + 5 * MINUTE + 1)).toBe(AHEAD)
  expect(stamp(NOW - 30 * DAY - 1)).toBe(BEHIND)
  expect([stamp(NOW + 2, { aheadMs: 1 }), stamp(NOW + 1, { aheadMs: 1 })]).toEqual([AHEAD, null])
  const phone = WRITE_RULES['stamped-now'].check(
    { role: 'driver', personId: 'dana', read: boardReader({}) },
    { doc: 'meeting', collection: 'runs', recordId: 'r', field: 'accepted', before: undefined, after: at(0) },
  )
  expect(phone.ok).toBe(true)
  expect(ask('stamped-now', { after: { by: 'dana', at: 'noon' } })).toBeNull()
  expect(ask('stamped-now', { after: 17 })).toBeNull()
})

test('near-now: the instant that a value is about, be it the value or in a record', () => {
  expect(ask('near-now', { after: about(NOW) })).toBeNull()
  expect(ask('near-now', { after: about(NOW + 6 * MINUTE) })).toBe(AHEAD)
  expect(ask('near-now', { after: about({ frozenAt: NOW + 6 * MINUTE }) })).toBe(AHEAD)
  for (const v of [null, 'text', [NOW * 2], {}, { frozenAt: 'noon' }, { startedAt: NOW * 2 }] as Json[])
    expect(ask('near-now', { after: about(v) })).toBeNull()
  expect(ask('near-now', { after: NOW * 2 })).toBeNull()
})

test('on-the-days: from the day before the first to fourteen days after it, where that day is set', () => {
  const days = (ms: number, first: Json = NOW) =>
    ask(
      'on-the-days',
      { after: about(ms) },
      { read: boardReader({ 'meeting/meeting/meeting/startsAt': first }) },
    )
  expect([days(NOW - DAY), days(NOW), days(NOW + 14 * DAY)]).toEqual([null, null, null])
  const words =
    'Accept: it is not on a day of the meeting. Stamp it in the right meeting, or ask a manager to correct the first day.'
  expect([days(NOW - DAY - 1), days(NOW + 14 * DAY + 1)]).toEqual([words, words])
  expect([days(0, 'soon'), ask('on-the-days', { after: about(0) })]).toEqual([null, null])
  const read = boardReader({ 'meeting/meeting/meeting/startsAt': NOW })
  expect(ask('on-the-days', { after: about(null) }, { read })).toBeNull()
})

test('after-the-start: a record comes with the start stamp of its heat, and may be emptied without', () => {
  const record = (board: Record<string, Json>, v: Json = {}) =>
    ask('after-the-start', { field: 'record', after: about(v) }, { read: boardReader(board) })
  const heat = { 'meeting/entries/run/heatId': 'h' }
  const words = 'Run record: the heat has not started. Stamp its start. That saves the record.'
  expect(record({ ...heat, 'meeting/heats/h/startedAt': about(NOW) })).toBeNull()
  expect(record({ ...heat, 'meeting/heats/h/startedAt': about(null) })).toBe(words)
  expect(record(heat)).toBe(words)
  expect(record({})).toBe(words)
  expect(record({ 'meeting/entries/run/heatId': 7, 'meeting/heats/7/startedAt': about(NOW) })).toBe(words)
  expect(record({}, null)).toBeNull()
  expect(ask('after-the-start', { after: undefined })).toBeNull()
})

test('as-the-run-is: the server alone holds an accept against the run', () => {
  const facts = { runDigest: (_: unknown, id: string) => `digest of ${id}`, sameName: () => false }
  const accept = (covers: string) =>
    ask('as-the-run-is', { after: { by: 'dana', at: NOW, covers } }, { facts })
  expect(accept('digest of run')).toBeNull()
  expect(accept('digest of before')).toBe(
    'Accept: the car was changed since you looked at it, or the board was restored. Look at the car again and accept it as it is now.',
  )
  expect(ask('as-the-run-is', { after: { by: 'dana', at: NOW, covers: 'x' } })).toBeNull()
  expect(ask('as-the-run-is', { after: null }, { facts })).toBeNull()
})

test('both-cars: a driver moves something between two cars of theirs alone', () => {
  const read = boardReader({
    'kit/cars/rook/driverId': 'dana',
    'kit/cars/raven/driverId': 'dana',
    'kit/cars/heron/driverId': 'eli',
  })
  const move = (before: Json | undefined, after: Json | undefined, role: PolicyContext['role'] = 'driver') =>
    ask('both-cars', { collection: 'proposals', field: 'carId', before, after }, { read, role })
  const words = 'Car: it would move to or from another driver’s car. Make a new one for the other car.'
  expect([move('rook', 'raven'), move('heron', 'heron'), move(undefined, 'heron')]).toEqual([
    null,
    null,
    null,
  ])
  expect([move('rook', 'heron'), move('heron', 'rook'), move('rook', null)]).toEqual([words, words, words])
  expect(move('rook', 'heron', 'mechanic')).toBeNull()
})

test('name-of-ones-own: nobody takes the name of somebody else who is there, nor one that looks like it', () => {
  const read = boardReader({
    'kit/people/dana/name': 'Dana',
    'kit/people/eli/name': 'Eli',
    'kit/people/gone/name': 'Gus',
    'kit/people/gone/removed': true,
    'kit/people/odd/name': 17,
  })
  const facts = {
    runDigest: () => undefined,
    sameName: (a: string, b: string) => a.toLowerCase() === b.toLowerCase(),
  }
  const take = (after: Json, ctx: Partial<PolicyContext> = { facts }) =>
    ask(
      'name-of-ones-own',
      { doc: 'kit', collection: 'people', recordId: 'dana', field: 'name', after },
      { read, ...ctx },
    )
  const words = 'Name: it looks like the name of Eli, who is on the board. Add an initial.'
  expect([take('Eli'), take('ELI'), take('Eli', {})]).toEqual([words, words, words])
  expect([take('ELI', {}), take('Dana'), take('Gus'), take('17'), take(null)]).toEqual(Array(5).fill(null))
})

test('each rule says in words what it holds', () => {
  for (const rule of Object.values(WRITE_RULES)) expect(rule.says).toMatch(/^[A-Z].+\.$/)
})

test('whose a record is follows from what its collection declares', () => {
  const read = boardReader({
    'meeting/entries/run/carId': 'rook',
    'meeting/entries/odd/carId': 7,
    'meeting/proposals/p/carId': 'heron',
  })
  const car = (collection: string, id: string, doc: 'kit' | 'meeting' = 'meeting') =>
    carOfRecord(read, doc, collection, id)
  expect(car('cars', 'rook', 'kit')).toBe('rook')
  expect([car('cardValues', 'rook.pinion'), car('runs', 'run'), car('runs', 'none')]).toEqual([
    'rook',
    'rook',
    undefined,
  ])
  expect([car('checks', 'run.nuts'), car('checks', 'heron.nuts'), car('runs', 'odd')]).toEqual([
    'rook',
    'heron',
    undefined,
  ])
  expect([
    car('proposals', 'p'),
    car('proposals', 'q'),
    car('heats', 'h'),
    car('people', 'dana', 'kit'),
  ]).toEqual(['heron', undefined, undefined, undefined])
  expect([
    car('toString', 'x'),
    collectionDef('kit', 'toString'),
    collectionDef('kit', 'cars')?.label,
  ]).toEqual([undefined, undefined, 'Car'])
})

test('who drives a car stands on the board; no car is nobody’s', () => {
  const read = boardReader({ 'kit/cars/rook/driverId': 'dana', 'kit/cars/undefined/driverId': 'dana' })
  expect([drives(read, 'dana', 'rook'), drives(read, 'eli', 'rook')]).toEqual([true, false])
  expect([drives(read, 'dana', undefined), drives(read, 'dana', 'wren')]).toEqual([false, false])
})

test('a signature is an object with somebody’s name; one under an emptied value binds nobody', () => {
  const sign = { by: 'dana', at: NOW, v: 1 }
  expect(signatureOf(sign)).toBe(sign)
  for (const v of [undefined, null, 'dana', 7, ['dana'], {}, { by: 7 }] as (Json | undefined)[])
    expect([signatureOf(v), signerOf(v)]).toEqual([null, null])
  const list = Object.assign([1], { by: 'dana' }) as unknown as Json
  expect(signatureOf(list)).toBeNull()
  expect([signerOf(sign), signerOf({ ...sign, v: null }), signerOf({ by: 'dana' })]).toEqual([
    'dana',
    null,
    'dana',
  ])
})

test('a follow-up is closed by reading where its rule says so, or is the starter kit’s of old', () => {
  expect(isClosedByReading({ id: 'x', closedBy: 'read-back' })).toBe(true)
  expect(isClosedByReading({ id: 'power-cycle' })).toBe(true)
  expect(isClosedByReading({ id: 'power-cycle', closedBy: null })).toBe(true)
  expect(isClosedByReading({ id: 'power-cycle', closedBy: 'sign' })).toBe(false)
  expect(isClosedByReading({ id: 'x' })).toBe(false)
})
