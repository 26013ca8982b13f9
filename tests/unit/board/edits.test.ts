import { expect, test } from 'vitest'
import * as Y from 'yjs'
import {
  acceptRun,
  addRecord,
  assignValue,
  BoardReading,
  canWrite,
  changeRecord,
  checkField,
  fitValue,
  mayWrite,
  readBackValue,
  statePowerCycle,
  runEdit,
  signCheck,
  stampStart,
  storedReader,
  takeBackStart,
  UndoStack,
  type EditOrigin,
} from '@/lib/board'
import { ok } from '@/lib/core/result'
import { merge, testBoard } from '../../support/board'
import { valueOf } from '../../support/running-order'

function withCar() {
  const board = testBoard()
  const m = board.as('manager')
  const set = <T>(r: { ok: true; value: T } | { ok: false; error: unknown }): T => {
    if (!r.ok) throw new Error(JSON.stringify(r.error))
    return r.value
  }
  const controllerId = set(addRecord(m, 'kit', 'controllers', { name: 'Blue control' }))
  const carId = set(addRecord(m, 'kit', 'cars', { name: 'Rook', driverId: 'dana', controllerId }))
  const otherCar = set(addRecord(m, 'kit', 'cars', { name: 'Wren', driverId: 'eli' }))
  const delay = set(
    addRecord(m, 'kit', 'controllerParameters', {
      controllerId,
      label: 'Turbo delay',
      unit: 's',
      min: 0,
      max: 1,
      step: 0.05,
      quantity: 'turboDelay',
    }),
  )
  const rule = set(
    addRecord(m, 'kit', 'followUpRules', { name: 'Re-set the gear mesh', triggers: ['pinion', 'spur'] }),
  )
  const escRule = set(
    addRecord(m, 'kit', 'followUpRules', { name: 'Look at the lamps', triggers: ['esc.*'] }),
  )
  const heatId = set(addRecord(m, 'meeting', 'heats', { number: 3 }))
  const runId = set(addRecord(m, 'meeting', 'entries', { heatId, driverName: 'Dana', carId }))
  return { ...board, m, carId, otherCar, delay, rule, escRule, heatId, runId, set }
}

test('an assigned value outside its range is refused by name, value and remedy, and nothing is written', () => {
  const b = withCar()
  const before = Y.encodeStateAsUpdate(b.docs.meeting!)
  const r = assignValue(b.m, b.view(), { carId: b.carId, parameterId: 'pinion', value: 0 })
  expect(r).toEqual({
    ok: false,
    error: { field: 'Pinion', value: '0', reason: 'is out of range', remedy: 'Enter 8 to 60 t.' },
  })
  expect(Y.encodeStateAsUpdate(b.docs.meeting!)).toEqual(before)
})

test('a value between two steps names both neighbours', () => {
  const b = withCar()
  const r = assignValue(b.m, b.view(), { carId: b.carId, parameterId: `esc.${b.delay}`, value: 0.12 })
  expect(r.ok ? '' : r.error.remedy).toBe('Enter 0.1 or 0.15.')
  expect(assignValue(b.m, b.view(), { carId: b.carId, parameterId: `esc.${b.delay}`, value: 0.15 }).ok).toBe(
    true,
  )
})

test('fitting another value opens the follow-ups that it calls for; the first and the same value do not', () => {
  const b = withCar()
  b.set(fitValue(b.m, b.view(), { carId: b.carId, parameterId: 'pinion', value: 22 }))
  b.set(fitValue(b.m, b.view(), { carId: b.carId, parameterId: 'pinion', value: 22 }))
  expect(b.view().followUps.live).toEqual([])
  b.set(fitValue(b.m, b.view(), { carId: b.carId, parameterId: 'pinion', value: 23 }))
  expect(b.view().followUps.live.map((f) => [f.id, f.opened?.v])).toEqual([
    [`${b.carId}.${b.rule}`, 'Pinion 22 → 23 t'],
  ])
})

test('a read-back that shows another value corrects what is fitted and opens its follow-ups', () => {
  const b = withCar()
  const t = { carId: b.carId, parameterId: `esc.${b.delay}` }
  b.set(fitValue(b.m, b.view(), { ...t, value: 0.1 }))
  b.set(statePowerCycle(b.m, b.view(), t))
  b.set(readBackValue(b.m, b.view(), { ...t, value: 0.05 }))
  const v = b.view().cardValues.get(`${b.carId}.esc.${b.delay}`)
  expect([v?.fitted?.v, v?.readBack?.v]).toEqual([0.05, 0.05])
  expect(b.view().followUps.get(`${b.carId}.${b.escRule}`)?.opened?.v).toContain('0.1 → 0.05')
})

test('[S4] a driver assigns on the own car only and fits nothing', () => {
  const b = withCar()
  const dana = b.as('driver', 'dana')
  expect(assignValue(dana, b.view(), { carId: b.carId, parameterId: 'pinion', value: 22 }).ok).toBe(true)
  const other = assignValue(dana, b.view(), { carId: b.otherCar, parameterId: 'pinion', value: 22 })
  expect(other.ok ? '' : other.error.reason).toBe('it is not a car you drive')
  expect(fitValue(dana, b.view(), { carId: b.carId, parameterId: 'pinion', value: 22 }).ok).toBe(false)
  expect(canWrite(dana, 'kit', 'cars', b.carId, 'driverId')).toBe(false)
  expect(canWrite(b.as('guest'), 'meeting', 'notes', 'n', 'text')).toBe(false)
})

test('[S4] nobody signs with somebody else’s name, and a sign-off belongs to who gave it', () => {
  const b = withCar()
  const ilse = b.as('mechanic', 'ilse')
  b.set(signCheck(ilse, { scopeId: b.runId, itemId: 'wheelnuts', done: true }))
  const read = storedReader(b.docs)
  const change = {
    doc: 'meeting',
    collection: 'checks',
    recordId: `${b.runId}.wheelnuts`,
    field: 'signed',
  } as const
  const before = read.field('meeting', 'checks', change.recordId, 'signed')
  const bas = { role: 'mechanic', personId: 'bas', read, now: b.clock.now() } as const
  expect(mayWrite(bas, { ...change, before, after: null }).ok).toBe(false)
  expect(mayWrite(bas, { ...change, before: undefined, after: { by: 'ilse', at: b.clock.now() } }).ok).toBe(
    false,
  )
  expect(signCheck(b.as('driver', 'dana'), { scopeId: b.runId, itemId: 'wheelnuts', done: false }).ok).toBe(
    false,
  )
  expect(signCheck(ilse, { scopeId: b.runId, itemId: 'wheelnuts', done: false }).ok).toBe(true)
})

test('[S5] unknown fields, deletions and damaged values are refused', () => {
  expect(checkField('kit', 'packs', 'cells', 7).ok).toBe(false)
  expect(checkField('kit', 'packs', 'cells', 2).ok).toBe(true)
  expect(checkField('kit', 'packs', '__proto__', 2).ok).toBe(false)
  expect(checkField('kit', 'constructor', 'name', 2).ok).toBe(false)
  expect(checkField('kit', 'packs', 'cells', undefined).ok).toBe(false)
  expect(checkField('meeting', 'cardValues', 'fitted', { v: Number.NaN, by: 'a', at: 1.8e12 }).ok).toBe(false)
})

test('[S4] drivers do not stamp', () => {
  const b = withCar()
  expect(
    stampStart(b.as('driver', 'dana'), b.view(), { heatId: b.heatId, at: b.clock.now(), records: [] }).ok,
  ).toBe(false)
})

test('the start freezes the run record; later card changes leave it alone; only who froze it or a manager takes it back', () => {
  const b = withCar()
  const record = {
    frozenAt: b.clock.now(),
    values: {},
    packId: null,
    tireSetId: null,
    missing: [],
    accepted: false,
    digest: 'd',
  }
  b.set(
    stampStart(b.as('mechanic', 'ilse'), b.view(), {
      heatId: b.heatId,
      at: record.frozenAt,
      records: [{ runId: b.runId, record }],
    }),
  )
  b.set(
    stampStart(b.m, b.view(), {
      heatId: b.heatId,
      at: record.frozenAt + 5000,
      records: [{ runId: b.runId, record: { ...record, digest: 'x' } }],
    }),
  )
  expect(b.view().runs.get(b.runId)?.record?.v?.digest).toBe('d')
  const overwrite = runEdit(b.as('mechanic', 'bas'), 'test', (w) => {
    w.meeting('runs', b.runId, { record: w.stamp({ ...record, digest: 'forged' }) })
    return ok(undefined)
  })
  expect(overwrite.ok).toBe(false)
  expect(takeBackStart(b.as('mechanic', 'bas'), b.view(), { heatId: b.heatId }).ok).toBe(false)
  expect(takeBackStart(b.m, b.view(), { heatId: b.heatId }).ok).toBe(true)
  expect(b.view().runs.get(b.runId)?.record?.v).toBe(null)
})

test('undo restores the value under the name of who undoes, and leaves alone what others changed since', () => {
  const b = withCar()
  const stack = new UndoStack()
  const onEdit = (o: EditOrigin) => stack.push(o)
  const m = { ...b.m, onEdit }
  b.set(assignValue(b.as('driver', 'dana'), b.view(), { carId: b.carId, parameterId: 'pinion', value: 21 }))
  b.set(assignValue(m, b.view(), { carId: b.carId, parameterId: 'pinion', value: 22 }))
  expect(stack.undo(m).ok).toBe(true)
  expect(b.view().cardValues.get(`${b.carId}.pinion`)?.assigned).toMatchObject({ v: 21, by: 'manager' })
  b.set(assignValue(m, b.view(), { carId: b.carId, parameterId: 'pinion', value: 23 }))
  b.set(assignValue(b.as('driver', 'dana'), b.view(), { carId: b.carId, parameterId: 'pinion', value: 24 }))
  const undone = stack.undo(m)
  expect(undone.ok && undone.value.leftAlone.length).toBe(1)
  expect(b.view().cardValues.get(`${b.carId}.pinion`)?.assigned?.v).toBe(24)
  expect(stack.undo(m).ok).toBe(false)
})

test('two phones that create the same record offline merge field by field', () => {
  const a = testBoard()
  const b = testBoard()
  changeRecord(a.as('manager'), 'kit', 'packs', 'P01', { label: 'P01', cells: 2 })
  changeRecord(b.as('manager'), 'kit', 'packs', 'P01', { label: 'P01', capacityMah: 6000 })
  merge(a.docs, b.docs)
  expect(a.view().packs.get('P01')).toMatchObject({ cells: 2, capacityMah: 6000 })
  expect(a.view().packs.get('P01')).toEqual(b.view().packs.get('P01'))
})

test('a view keeps the identity of what did not change, and names damaged fields', () => {
  const b = withCar()
  const v1 = b.view()
  expect(b.view()).toBe(v1)
  assignValue(b.m, v1, { carId: b.carId, parameterId: 'pinion', value: 22 })
  const v2 = b.view()
  expect(v2).not.toBe(v1)
  expect(v2.cars).toBe(v1.cars)
  b.docs.kit.getMap('packs').set('P9:cells', 'two')
  expect(b.view().damaged).toEqual([{ collection: 'packs', recordId: 'P9', field: 'cells' }])
  const fresh = new BoardReading(b.docs)
  expect(fresh.view().packs.get('P9')).toEqual({ id: 'P9' })
})

test('an accept by a driver of another car is refused', () => {
  const b = withCar()
  expect(acceptRun(b.as('driver', 'eli'), b.view(), { runId: b.runId, digest: 'x' }).ok).toBe(false)
  expect(acceptRun(b.as('driver', 'dana'), b.view(), { runId: b.runId, digest: 'x' }).ok).toBe(true)
})

test('a record whose creation was undone is no longer there, and comes back with its next value', () => {
  const board = testBoard()
  const undo = new UndoStack()
  const ctx = { ...board.as('manager', 'petra'), onEdit: (e: EditOrigin) => undo.push(e) }
  const id = valueOf(addRecord(ctx, 'kit', 'packs', { label: 'P01', cells: 2 }))
  valueOf(undo.undo(ctx))
  expect([board.view().packs.live, board.view().packs.get(id)]).toEqual([[], undefined])
  valueOf(changeRecord(ctx, 'kit', 'packs', id, { label: 'P02' }))
  expect(board.view().packs.live).toEqual([{ id, label: 'P02' }])
})
