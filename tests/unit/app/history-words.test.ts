import { expect, it } from 'vitest'
import { writeField } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { historyLine, isBookkeeping } from '@/app/card/history-words'
import { shownValue } from '@/app/words/shown-value'
import { fieldWords } from '@/app/sync/field-words'
import { testBoard } from '../../support/board'

const AT = 1_796_396_400_000
function board() {
  const b = testBoard()
  const { kit, meeting } = b.docs
  if (!meeting) throw new Error('A board without a meeting')
  writeField(kit, 'packs', 'p-1', 'label', 'P1')
  writeField(kit, 'cars', 'rook', 'name', 'Rook')
  writeField(meeting, 'heats', 'q3-h1', 'number', 12)
  writeField(meeting, 'entries', 'q3-rook', 'heatId', 'q3-h1')
  writeField(meeting, 'entries', 'q3-rook', 'carId', 'rook')
  writeField(meeting, 'charges', 'c-1', 'packId', 'p-1')
  return { ...b, kit, meeting }
}
const entry = (collection: string, recordId: string, field: string, before: Json, after: Json) => ({
  seq: 1,
  room: collection === 'packs' ? 'kit' : 'meeting-m',
  at: AT,
  personId: 'ilse',
  deviceId: 'd',
  collection,
  recordId,
  field,
  before,
  after,
  outcome: 'accepted' as const,
})
const stamped = (v: Json) => ({ v, by: 'ilse', at: AT })

it.each([
  ['packs', 'p-1', 'state', stamped('used'), stamped('in-car'), 'used', 'in a car'],
  ['charges', 'c-1', 'runId', null, 'q3-rook', '', 'Rook, heat 12'],
  ['charges', 'c-1', 'chargedMah', null, stamped(2466), '', '2466 mAh'],
  ['charges', 'c-1', 'runId', 'gone-for-good', null, 'one that was removed', ''],
  ['runs', 'q3-rook', 'packIn', null, stamped('p-1'), '', 'P1'],
  ['runs', 'q3-rook', 'result', null, stamped({ laps: 13, seconds: 299.96 }), '', '13 laps in 5:00.0'],
] as const)(
  'the history of %s %s %s is told without keys',
  (collection, id, field, before, after, was, is) => {
    const b = board()
    const line = historyLine(b.view(), entry(collection, id, field, before as Json, after as Json))
    expect([line.before, line.after]).toEqual([was, is])
    b.close()
  },
)

it('a reading of the conditions is told by its name, once, and its removal too', () => {
  const b = board()
  const told = (field: string, after: Json) =>
    historyLine(b.view(), entry('conditions', 'c-2', field, null, after))
  expect(told('airC', stamped(16.5))).toMatchObject({ what: 'conditions, air temperature', after: '16.5°C' })
  expect(told('text', stamped('Dust'))).toMatchObject({ what: 'conditions', after: 'Dust' })
  expect(told('removed', true)).toMatchObject({ what: 'conditions, removed', after: 'yes' })
  b.close()
})

it('what was blank or “no” before anybody wrote it is no line of the history', () => {
  const line = (before: Json, after: Json) => isBookkeeping(entry('heats', 'q3-h1', 'isBreak', before, after))
  expect([
    line(null, false),
    line(null, ''),
    line(null, stamped(null)),
    line(null, true),
    line(true, false),
    line(null, 0),
  ]).toEqual([true, true, true, false, false, false])
})

it('a kit record’s history names choices and references', () => {
  const b = board()
  const shown = (collection: string, field: string, value: Json) =>
    shownValue(b.view(), { doc: 'kit', collection, field }, value)
  expect(shown('packs', 'health', 'practice-only')).toBe('Practice only')
  expect(shown('tracks', 'surface', 'dusty-dirt')).toBe('Dusty dirt')
  expect(shown('cars', 'motorId', 'no-such')).toBe('one that was removed')
  expect(shown('cars', 'name', 'in-car')).toBe('in-car')
  b.close()
})

it('what waits on a phone is told likewise', () => {
  const b = board()
  const from = { room: 'kit', doc: b.kit, kit: b.kit }
  const path = { collection: 'packs', recordId: 'p-1', field: 'state' }
  expect(fieldWords(from, path, stamped('in-car'))).toBe('Pack P1, State: in a car')
  b.close()
})
