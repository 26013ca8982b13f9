import { expect, test } from 'vitest'
import { checkField, mayWrite } from '@/lib/board/guard-rules'
import { hasGrant } from '@/lib/board/has-grant'
import type { FieldChange, PolicyContext } from '@/lib/board/write-rules'
import type { Json } from '@/lib/core/json'
import type { Role } from '@/lib/core/role'
import { boardReader } from '../../support/board-reader'

const BOARD = {
  'kit/cars/rook/driverId': 'dana',
  'kit/cars/heron/driverId': 'eli',
  'meeting/entries/run/carId': 'rook',
  'meeting/entries/other/carId': 'heron',
}
const signed = (by: string, v: Json = 1): Json => ({ by, at: 1_700_000_000_000, v })

/** What comes of a change that dana (unless somebody else is named) makes: null, or the refusal. */
function write(
  role: Role,
  [doc, collection, recordId, field]: [FieldChange['doc'], string, string, string],
  change: {
    before?: Json
    after?: Json
    board?: Record<string, Json>
    was?: Record<string, Json>
    now?: number
  } = {},
  personId = 'dana',
) {
  const { before, after, board = {}, was, now } = change
  const ctx: PolicyContext = {
    role,
    personId,
    read: boardReader({ ...BOARD, ...board }),
    ...(was && { before: boardReader({ ...BOARD, ...was }) }),
    ...(now !== undefined && { now }),
  }
  const result = mayWrite(ctx, { doc, collection, recordId, field, before, after })
  return result.ok ? null : result.error
}

test('[S5] a value that fits its field passes, and so does an emptied one', () => {
  expect(checkField('kit', 'packs', 'cells', 2)).toEqual({ ok: true, value: undefined })
  expect(checkField('kit', 'packs', 'cells', null)).toEqual({ ok: true, value: undefined })
})

test.each([
  [
    ['kit', 'packs', 'color', 'red'],
    {
      field: 'packs.color',
      value: '',
      reason: 'the board has no such field',
      remedy: 'Reload the page: this phone may be running an older version.',
    },
  ],
  [
    ['kit', 'packs', 'cells', undefined],
    {
      field: 'Cells in series',
      value: '',
      reason: 'a field can’t be deleted',
      remedy: 'Change its value, or remove the whole record.',
    },
  ],
  [
    ['kit', 'packs', 'capacityMah', 100],
    { field: 'Capacity', value: '100', reason: 'is out of range', remedy: 'Enter 200 to 20000 mAh.' },
  ],
  [
    ['kit', 'packs', 'health', 'fine'],
    {
      field: 'Health',
      value: 'fine',
      reason: 'is none of the choices',
      remedy: 'Enter one of good, practice-only, suspect.',
    },
  ],
  [
    ['kit', 'packs', 'label', 'a label that is far too long'],
    { field: 'Pack label', reason: 'is too long', remedy: 'Enter a value that fits the field.' },
  ],
  [
    ['kit', 'packs', 'label', '   '],
    { field: 'Pack label', reason: 'is blank', remedy: 'Enter a value that fits the field.' },
  ],
  [
    ['kit', 'packs', 'capacityMah', 50_000],
    { field: 'Capacity', reason: 'is out of range', remedy: 'Enter 200 to 20000 mAh.' },
  ],
  [
    ['kit', 'packs', 'capacityMah', 'much'],
    { field: 'Capacity', reason: 'is not a number', remedy: 'Enter 200 to 20000 mAh.' },
  ],
  [
    ['kit', 'packs', 'state', null],
    {
      field: 'State',
      value: '',
      remedy: 'Enter one of storage, charging, charged, in-car, used, resting, retired.',
    },
  ],
] as const)('[S5] %j is refused with what would be taken', ([doc, collection, field, value], refusal) => {
  const result = checkField(doc, collection, field, value)
  expect(result).toMatchObject({ ok: false, error: refusal })
  if (!result.ok) expect(result.error.reason).not.toMatch(/expected|invalid/i)
})

test('[S4] a guest writes nothing, a manager what everybody may, and nobody what the server alone says', () => {
  const note = ['kit', 'cars', 'rook', 'note'] as const
  expect(write('manager', [...note], { after: 'x' })).toBeNull()
  expect(write('guest', [...note], { after: 'x' })).toEqual({
    field: 'Note',
    value: 'x',
    reason: 'a guest may not change it',
    remedy: 'Only a manager or a mechanic or a driver for their own car can do this.',
  })
  expect(write('manager', ['kit', 'people', 'dana', 'role'], { after: 'manager' })).toMatchObject({
    reason: 'a manager may not change it',
    remedy: 'Only the server can change it.',
  })
  expect(write('driver', ['kit', 'people', 'eli', 'name'], { after: 'Eli' })).toMatchObject({
    reason: 'it belongs to somebody else',
    remedy: 'Only a manager or a mechanic for themselves or a driver for themselves can do this.',
  })
  expect(write('driver', ['kit', 'people', 'dana', 'name'], { after: 'Dana' })).toBeNull()
})

test('[S4] a collection that the board does not have is nobody’s', () => {
  expect(write('manager', ['kit', 'drones', 'x', 'name'], { after: 'x' })).toEqual({
    field: 'name',
    value: 'x',
    reason: 'the board has no such collection',
    remedy: 'Reload the page.',
  })
})

test('[S4] a driver writes on a car that is theirs, before the change and after it', () => {
  const result = ['meeting', 'runs', 'run', 'result'] as const
  const other = ['meeting', 'runs', 'other', 'result'] as const
  expect(write('driver', [...result], { after: signed('dana') })).toBeNull()
  expect(write('driver', [...other], { after: signed('dana') })).toMatchObject({
    reason: 'it is not a car you drive',
  })
  const moved = { 'meeting/entries/other/carId': 'rook' }
  expect(write('driver', [...other], { after: signed('dana'), board: moved, was: {} })).toMatchObject({
    reason: 'it is not a car you drive',
  })
  expect(write('driver', [...other], { after: signed('dana'), board: moved, was: moved })).toBeNull()
  const fresh = { 'meeting/entries/new/carId': 'rook' }
  const run = ['meeting', 'runs', 'new', 'result'] as const
  expect(write('driver', [...run], { after: signed('dana'), board: fresh, was: {} })).toBeNull()
  expect(write('driver', [...run], { after: signed('dana') })).not.toBeNull()
})

test('[S4] what somebody else signed is changed by a manager alone', () => {
  const done = ['meeting', 'jobs', 'j', 'done'] as const
  const change = { before: signed('eli'), after: signed('dana') }
  expect(write('driver', [...done], change)).toMatchObject({
    reason: 'somebody else signed it',
    remedy: 'The signer or a manager can change it.',
  })
  expect(write('driver', [...done], { ...change, before: signed('dana') })).toBeNull()
  expect(write('driver', [...done], { after: signed('dana') })).toBeNull()
  expect(write('manager', [...done], change)).toBeNull()
})

test('[S4] what gives a signed value its meaning stands with it', () => {
  const about = ['meeting', 'notes', 'n', 'about'] as const
  const under = (by: string, v: Json = 'text') => ({ 'meeting/notes/n/text': signed(by, v) })
  const change = (board: Record<string, Json>) =>
    write('mechanic', [...about], { before: 'rook', after: 'heron', board })
  expect(change(under('eli'))).toMatchObject({
    reason: 'somebody else signed Note, which it belongs to',
    remedy: 'The signer or a manager can change it.',
  })
  expect(change(under('dana'))).toBeNull()
  expect(change(under('eli', null))).toBeNull()
  expect(change({})).toBeNull()
  expect(
    write('mechanic', [...about], { before: { a: 1, b: 2 }, after: { b: 2, a: 1 }, board: under('eli') }),
  ).toBeNull()
  expect(write('manager', [...about], { before: 'rook', after: 'heron', board: under('eli') })).toBeNull()
})

test('[S4] a driver signs a check of their own car, unless somebody else has signed it', () => {
  const check = (id: string) =>
    ['meeting', 'checks', id, 'signed'] as [FieldChange['doc'], string, string, string]
  const sign: Json = { by: 'dana', at: 1_700_000_000_000 }
  expect(write('driver', check('run.nuts'), { after: sign })).toBeNull()
  expect(write('driver', check('other.nuts'), { after: sign })).toMatchObject({
    reason: 'it is not a car you drive',
    remedy: 'Only a manager or a mechanic or a driver for their own car can do this.',
  })
  expect(write('driver', check('run.nuts'), { before: { ...sign, by: 'eli' }, after: sign })).toMatchObject({
    reason: 'somebody else signed it',
  })
})

test('[S4] what is written once is emptied by its writer and then written anew, and by nobody else', () => {
  const record = (by: string, v: Json) => signed(by, v)
  const write1 = (before: Json | undefined, after: Json) =>
    write('mechanic', ['meeting', 'runs', 'run', 'record'], {
      ...(before !== undefined && { before }),
      after,
      board: { 'meeting/entries/run/heatId': 'h', 'meeting/heats/h/startedAt': signed('ilse', 1) },
    })
  const once = {
    reason: 'it can be written only once',
    remedy: 'The person who wrote it or a manager can remove it; a run record goes with the start stamp.',
  }
  expect(write1(undefined, record('dana', {}))).toBeNull()
  expect(write1(record('dana', { a: 1 }), record('dana', {}))).toMatchObject(once)
  expect(write1(record('dana', { a: 1 }), record('dana', null))).toBeNull()
  expect(write1(record('eli', { a: 1 }), record('dana', null))).toMatchObject(once)
  expect(write1(record('eli', null), record('dana', {}))).toBeNull()
})

test('[S4] a signed field asks the rules of signatures, any field those of its own', () => {
  expect(
    write('manager', ['kit', 'packs', 'P01', 'state'], { after: signed('eli', 'charged') }),
  ).toMatchObject({ reason: 'it is signed with somebody else’s name' })
  expect(write('manager', ['kit', 'packs', 'P01', 'cells'], { after: 2 })).toBeNull()
  expect(
    write('manager', ['kit', 'people', 'x', 'name'], {
      after: 'Dana',
      board: { 'kit/people/dana/name': 'Dana' },
    }),
  ).toMatchObject({ remedy: 'Add an initial.' })
})

test('[S4] whether a role may ever write a field is said without a record', () => {
  expect(hasGrant('guest', 'kit', 'cars', 'note')).toBe(false)
  expect(hasGrant('driver', 'kit', 'cars', 'note')).toBe(true)
  expect(hasGrant('driver', 'kit', 'cars', 'driverId')).toBe(false)
  expect(hasGrant('manager', 'kit', 'drones', 'note')).toBe(false)
  expect(hasGrant('manager', 'kit', 'people', 'role')).toBe(false)
})

test('[S4] [S19] a rule that holds hands on to the next one: of signatures, and of a field’s own', () => {
  const NOW = 1_700_000_000_000
  const HOUR = 3_600_000
  const late = { now: NOW - HOUR }
  // Its own name, which the first rule asks for, and a time ahead of the server's, which the second refuses.
  expect(
    write('manager', ['kit', 'packs', 'P01', 'state'], { after: signed('dana', 'charged'), ...late }),
  ).toMatchObject({ reason: 'its time is ahead of the server’s clock' })
  expect(
    write('manager', ['kit', 'packs', 'P01', 'state'], { after: signed('dana', 'charged'), now: NOW }),
  ).toBeNull()
  // Stamped now, which the first of the field's own rules asks for, and on no day of the meeting.
  const start = (startsAt: number) =>
    write('manager', ['meeting', 'heats', 'h', 'startedAt'], {
      after: signed('dana', NOW),
      board: { 'meeting/meeting/meeting/startsAt': startsAt },
      now: NOW,
    })
  expect(start(NOW - 40 * 24 * HOUR)).toMatchObject({ reason: 'it is not on a day of the meeting' })
  expect(start(NOW - 2 * HOUR)).toBeNull()
  // A stamp that is taken back is about no instant.
  expect(
    write('manager', ['meeting', 'heats', 'h', 'startedAt'], { after: signed('dana', null), now: NOW }),
  ).toBeNull()
})
