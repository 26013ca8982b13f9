import { expect, test } from 'vitest'
import { addRecord, removeRecord, UndoStack } from '@/lib/board'
import { CONDITION_FIGURES, conditionFace, noteConditions } from '@/lib/board/edits/condition-edits'
import { latestCondition } from '@/lib/card/projections/latest-condition'
import { bringListIn, planList } from '@/lib/lists'
import { conditionReadings } from '@/app/board/[meetingId]/track/condition-readings'
import { testBoard } from '../../support/board'
import { must } from '../../support/must'

const day = () => {
  const b = testBoard()
  const air = () => latestCondition(b.view(), 'airC')?.airC?.v
  return { ...b, air }
}

test('of each value the latest reading counts, and a removed one no longer does', () => {
  const b = day()
  const m = b.as('mechanic', 'ilse')
  const morning = must(noteConditions(m, { airC: 12.5, grip: 0.8, text: ' Damp clay. ' }))
  const noon = must(noteConditions(b.as('driver', 'maren'), { airC: 21 }))
  expect(b.air()).toBe(21)
  expect(latestCondition(b.view(), 'grip')?.id).toBe(morning)
  expect(latestCondition(b.view(), 'text')?.text).toMatchObject({ v: 'Damp clay.', by: 'ilse' })
  expect(latestCondition(b.view(), 'humidityPercent')).toBeUndefined()
  // Before noon’s reading the morning’s stands.
  const at = b.view().conditions.get(noon)?.airC?.at ?? 0
  expect(latestCondition(b.view(), 'airC', at - 1)?.id).toBe(morning)
  expect(conditionReadings(b.view()).map((r) => [r.reading.id, r.by])).toEqual([
    [noon, 'maren'],
    [morning, 'ilse'],
  ])

  must(removeRecord(b.as('driver', 'maren'), 'meeting', 'conditions', noon))
  expect(b.air()).toBe(12.5)
  expect(conditionReadings(b.view()).map((r) => r.reading.id)).toEqual([morning])
})

test('nothing entered, a blank and what can’t be are refused, and nothing is written', () => {
  const b = day()
  const m = b.as('manager')
  const refused = (done: ReturnType<typeof noteConditions>) => (done.ok ? 'written' : done.error)
  const nothing = {
    field: 'Conditions',
    value: '',
    reason: 'hold no value',
    remedy: 'Enter at least one.',
  }
  for (const reading of [{}, { text: '  ' }, { airC: null, grip: undefined }])
    expect(refused(noteConditions(m, reading))).toEqual(nothing)
  expect(refused(noteConditions(m, { airC: 99, grip: 1 }))).toEqual({
    field: 'Air temperature',
    value: '99',
    reason: 'is out of range',
    remedy: 'Enter a number from -30 to 60°C.',
  })
  expect(noteConditions(m, { grip: Number.NaN }).ok).toBe(false)
  expect(noteConditions(m, { text: 'x'.repeat(401) }).ok).toBe(false)
  expect(b.docs.meeting?.getMap('conditions').size).toBe(0)
})

test.each(CONDITION_FIGURES)('the range that is told of %s is the one that the board holds', (field) => {
  const b = day()
  const m = b.as('manager')
  const { min, max } = conditionFace(field)
  const raw = (v: number) =>
    addRecord(m, 'meeting', 'conditions', { [field]: { v, by: 'manager', at: m.clock.now() } })
  for (const edge of [min, max]) {
    must(noteConditions(m, { [field]: edge }))
    must(raw(edge))
  }
  for (const beyond of [min - 0.01, max + 0.01]) {
    expect(noteConditions(m, { [field]: beyond })).toMatchObject({ error: { reason: 'is out of range' } })
    expect(raw(beyond).ok).toBe(false)
  }
})

test('the crew enters conditions, a guest does not; only who said it or a manager removes it', () => {
  const b = day()
  for (const role of ['manager', 'mechanic', 'driver'] as const)
    must(noteConditions(b.as(role), { humidityPercent: 60 }))
  expect(noteConditions(b.as('guest'), { humidityPercent: 60 }).ok).toBe(false)
  const id = must(noteConditions(b.as('mechanic', 'ilse'), { airC: 20 }))
  for (const other of [b.as('mechanic', 'bas'), b.as('driver'), b.as('guest')])
    expect(removeRecord(other, 'meeting', 'conditions', id).ok).toBe(false)
  expect(b.air()).toBe(20)
  must(removeRecord(b.as('manager'), 'meeting', 'conditions', id))
  expect(b.air()).toBeUndefined()
})

test('a reading and its removal are each taken back by one undo', () => {
  const b = day()
  const undo = new UndoStack()
  const m = { ...b.as('mechanic', 'ilse'), onEdit: undo.push.bind(undo) }
  must(noteConditions(m, { airC: 12.5, text: 'Dust' }))
  const second = must(noteConditions(m, { airC: 21 }))
  must(removeRecord(m, 'meeting', 'conditions', second))
  must(undo.undo(m))
  expect(b.air()).toBe(21)
  must(undo.undo(m))
  expect(b.air()).toBe(12.5)
  expect(conditionReadings(b.view())).toHaveLength(1)
})

test('a row of the list and the form write equal records', () => {
  const still = { now: () => Date.UTC(2026, 4, 2, 9) }
  const fields = (write: (b: ReturnType<typeof day>) => void) => {
    const b = day()
    write(b)
    const map = b.docs.meeting?.getMap('conditions').toJSON() ?? {}
    return Object.fromEntries(Object.entries(map).map(([key, v]) => [key.replace(/^.*:/, ''), v as unknown]))
  }
  const entered = fields((b) => {
    const m = { ...b.as('mechanic', 'ilse'), clock: still }
    must(noteConditions(m, { airC: 16.5, trackC: 18, humidityPercent: 68, grip: 0.95, text: 'Watered.' }))
  })
  const listed = fields((b) => {
    const m = { ...b.as('mechanic', 'ilse'), clock: still }
    const csv =
      'id,Air temperature (°C),Track temperature (°C),Humidity (%),Grip,Conditions\r\n,16.5,18,68,0.95,Watered.\r\n'
    must(bringListIn(m, must(planList(m, 'meeting', 'conditions', csv))))
  })
  expect(Object.keys(entered).sort()).toEqual(['airC', 'grip', 'humidityPercent', 'text', 'trackC'])
  expect(listed).toEqual(entered)
})
