import { expect, test } from 'vitest'
import {
  addNamedRecord,
  addRecord,
  changeNamedFields,
  moveInList,
  readPackVoltage,
  setRemoved,
  setTireState,
} from '@/lib/board'
import { testBoard } from '../../support/board'
import { valueOf } from '../../support/running-order'

test('a voltage that the cells can’t hold is refused with the most they can; a readable one is signed', () => {
  const b = testBoard()
  const m = b.as('mechanic', 'ilse')
  const packId = valueOf(addRecord(m, 'kit', 'packs', { label: 'P1', cells: 2 }))
  expect(readPackVoltage(m, b.view(), { packId, volts: 84 })).toEqual({
    ok: false,
    error: {
      field: 'Resting voltage',
      value: '84 V',
      reason: 'is more than 2 cells can hold',
      remedy: 'Read it again, or correct the number of cells. 8.70 V is the maximum.',
    },
  })
  valueOf(readPackVoltage(m, b.view(), { packId, volts: 8.4 }))
  expect(b.view().packs.get(packId)?.restVoltageV).toMatchObject({ v: 8.4, by: 'ilse' })
  expect(readPackVoltage(b.as('driver'), b.view(), { packId, volts: 8.3 }).ok).toBe(false)
})

test('tires are on the car that was named and on none once they are off it', () => {
  const b = testBoard()
  const m = b.as('mechanic', 'ilse')
  const tireSetId = valueOf(addRecord(m, 'kit', 'tireSets', { label: 'T1' }))
  const carId = valueOf(addRecord(m, 'kit', 'motors', { name: 'x' }))
  expect(setTireState(m, b.view(), { tireSetId, state: 'on-car', carId }).ok).toBe(false)
  valueOf(addNamedRecord(b.as('manager'), 'kit', 'cars', { name: 'Rook' }))
  const rook = b.view().cars.live[0]!.id
  valueOf(setTireState(m, b.view(), { tireSetId, state: 'on-car', carId: rook }))
  expect(b.view().tireSets.get(tireSetId)?.onCarId).toBe(rook)
  valueOf(setTireState(m, b.view(), { tireSetId, state: 'used' }))
  expect(b.view().tireSets.get(tireSetId)?.onCarId).toBeUndefined()
})

test('edits named by text obey schema and policy like all others', () => {
  const b = testBoard()
  const m = b.as('mechanic', 'ilse')
  expect(addNamedRecord(m, 'kit', 'nonsense', { name: 'x' }).ok).toBe(false)
  expect(addNamedRecord(m, 'kit', 'ruleSheets', { name: 'x' }).ok).toBe(false)
  const id = valueOf(addNamedRecord(m, 'kit', 'packs', { label: 'P1' }))
  expect(changeNamedFields(m, 'kit', 'packs', id, { cells: 9 }).ok).toBe(false)
  expect(changeNamedFields(m, 'kit', 'packs', id, { __proto__: 1, cells: 2 }).ok).toBe(true)
  valueOf(setRemoved(m, 'kit', 'packs', id, true))
  expect(b.view().packs.live).toEqual([])
  valueOf(setRemoved(m, 'kit', 'packs', id, false))
  expect(b.view().packs.live.map((p) => p.cells)).toEqual([2])
})

test('a list without an order gets one by the first move', () => {
  const b = testBoard()
  const m = b.as('mechanic', 'ilse')
  const checklistId = valueOf(addRecord(m, 'kit', 'checklists', { name: 'L', kind: 'inspection' }))
  const add = (text: string) => valueOf(addRecord(m, 'kit', 'checklistItems', { checklistId, text }))
  const list = [add('a'), add('b'), add('c')]
  const where = { doc: 'kit', collection: 'checklistItems' } as const
  valueOf(moveInList(m, { ...where, list, recordId: list[2]!, by: -1 }))
  expect(b.view().checklistItems.live.map((i) => i.text)).toEqual(['a', 'c', 'b'])
  expect(moveInList(m, { ...where, list, recordId: list[0]!, by: -1 }).ok).toBe(false)
})

test('a label that another pack, tire set or charger has is refused by its field; a removed one’s is free', () => {
  const b = testBoard()
  const m = b.as('mechanic', 'ilse')
  for (const [collection, label, field] of [
    ['packs', 'P02', 'Pack label'],
    ['tireSets', 'T1', 'Tire set label'],
    ['chargers', 'A', 'Charger label'],
  ] as const) {
    const first = valueOf(addNamedRecord(m, 'kit', collection, { label }))
    expect(addNamedRecord(m, 'kit', collection, { label: ` ${label.toLowerCase()} ` })).toMatchObject({
      ok: false,
      error: {
        field,
        value: label.toLowerCase(),
        reason: expect.stringMatching(/^is the label of another /),
      },
    })
    const second = valueOf(addNamedRecord(m, 'kit', collection, { label: 'X9' }))
    expect(changeNamedFields(m, 'kit', collection, second, { label }).ok).toBe(false)
    expect(changeNamedFields(m, 'kit', collection, first, { label }).ok, 'its own').toBe(true)
    valueOf(setRemoved(m, 'kit', collection, first, true))
    valueOf(changeNamedFields(m, 'kit', collection, second, { label }))
    // Brought back, it would be the second of that name.
    expect(setRemoved(m, 'kit', collection, first, false)).toMatchObject({ error: { field } })
    expect(b.view()[collection].live.map((r) => r.label)).toEqual([label])
  }
  // Other things may share a name with something else.
  valueOf(addNamedRecord(m, 'kit', 'motors', { name: 'Seven' }))
  valueOf(addNamedRecord(m, 'kit', 'motors', { name: 'Seven' }))
})
