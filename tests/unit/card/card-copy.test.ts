import { expect, test } from 'vitest'
import {
  addRecord,
  assignSeveral,
  assignValue,
  changeRecord,
  fitValue,
  joinId,
  refuseValue,
  UndoStack,
  type EditOrigin,
} from '@/lib/board'
import { cardCopy, currentSnapshot, leftSnapshot } from '@/lib/card'
import { testBoard } from '../../support/board'
import { must } from '../../support/must'

function twoCars() {
  const b = testBoard()
  const m = b.as('manager')
  const control = (name: string) => must(addRecord(m, 'kit', 'controllers', { name }))
  const parameter = (controllerId: string, label: string, max: number) =>
    must(
      addRecord(m, 'kit', 'controllerParameters', { controllerId, label, min: 0, max, step: 1, unit: '%' }),
    )
  const [blue, gray] = [control('Blue'), control('Gray')]
  const dragBlue = parameter(blue, 'Drag', 30)
  const dragGray = parameter(gray, 'Drag', 10)
  const punchBlue = parameter(blue, 'Punch', 9)
  const rook = must(addRecord(m, 'kit', 'cars', { name: 'Rook', controllerId: blue }))
  const heron = must(addRecord(m, 'kit', 'cars', { name: 'Heron', controllerId: gray }))
  const set = (carId: string, side: 'assigned' | 'fitted', values: Record<string, number>) => {
    for (const [parameterId, value] of Object.entries(values))
      must((side === 'assigned' ? assignValue : fitValue)(m, b.view(), { carId, parameterId, value }))
  }
  const copy = (from: string, to: string, side: 'fitted' | 'assigned') =>
    cardCopy(b.view(), currentSnapshot(b.view(), from), currentSnapshot(b.view(), to), side)
  return { ...b, m, rook, heron, dragBlue, dragGray, punchBlue, set, copy }
}

test('another car’s card, in the order of work: what can be assigned here, what can’t and why, speed-control values by their label', () => {
  const d = twoCars()
  d.set(d.rook, 'assigned', {
    pinion: 23,
    spur: 78,
    rideHeightRear: 21,
    [`esc.${d.dragBlue}`]: 20,
    [`esc.${d.punchBlue}`]: 4,
  })
  d.set(d.heron, 'assigned', { pinion: 21, spur: 78, [`esc.${d.dragGray}`]: 5 })
  // Two parameters of one list come in the order of their ids, which is any.
  const groups = d.copy(d.rook, d.heron, 'assigned').map((g) => ({
    ...g,
    rows: g.id === 'control' ? g.rows.toSorted((a, b) => a.label.localeCompare(b.label)) : g.rows,
  }))
  expect(
    groups.map((g) => [g.name, g.rows.map((r) => [r.label, r.there, r.assigned, r.canAssign, r.problem])]),
  ).toEqual([
    ['Drive', [['Pinion', 23, 21, true, null]]],
    [
      'Speed control',
      [
        ['Drag', 20, 5, false, 'is out of range'],
        ['Punch', 4, null, false, 'not on this card'],
      ],
    ],
    ['Rear suspension', [['Ride height', 21, null, true, null]]],
  ])
})

test('what is in the car and not what the card asks for is assigned at once: one edit, one undo', () => {
  const d = twoCars()
  const origins: EditOrigin[] = []
  d.docs.meeting?.on('update', (_u, origin) => origins.push(origin as EditOrigin))
  d.set(d.rook, 'assigned', { pinion: 23, spur: 78, caster: 20 })
  d.set(d.rook, 'fitted', { pinion: 22, spur: 78, caster: 22, kickUp: 10 })
  must(refuseValue(d.m, d.view(), { carId: d.rook, parameterId: 'caster', why: 'no such block' }))
  const rows = d.copy(d.rook, d.rook, 'fitted').flatMap((g) => g.rows)
  expect(rows.map((r) => [r.parameterId, r.there, r.assigned, r.canAssign])).toEqual([
    ['pinion', 22, 23, true],
    ['caster', 22, 20, true],
    ['kickUp', 10, null, true],
  ])
  const before = origins.length
  const values = rows.map((r) => ({ parameterId: r.parameterId, value: r.there ?? 0 }))
  expect(must(assignSeveral(d.m, d.view(), { carId: d.rook, values, why: 'as it is in the car' }))).toBe(3)
  expect(origins).toHaveLength(before + 1)
  const now = (id: string) => d.view().cardValues.get(joinId(d.rook, id))
  expect(['pinion', 'caster', 'kickUp'].map((id) => now(id)?.assigned)).toMatchObject([
    { v: 22, why: 'as it is in the car' },
    { v: 22 },
    { v: 10 },
  ])
  expect(now('caster')?.cannot?.v).toBe(null)
  expect(d.copy(d.rook, d.rook, 'fitted')).toEqual([])

  const undo = new UndoStack()
  undo.push(origins[before] as EditOrigin)
  must(undo.undo(d.m))
  expect(['pinion', 'caster', 'kickUp'].map((id) => now(id)?.assigned?.v ?? null)).toEqual([23, 20, null])
})

test('a card as it was left keeps the values of the speed control that the car had then: by their labels they come to the one it has now', () => {
  const d = twoCars()
  d.set(d.rook, 'assigned', { pinion: 23, [`esc.${d.dragBlue}`]: 8, [`esc.${d.punchBlue}`]: 4 })
  const gray = d.view().controllers.live.find((c) => c.name === 'Gray')!.id
  must(changeRecord(d.m, 'kit', 'cars', d.rook, { controllerId: gray }))
  const left = leftSnapshot(d.view(), d.rook)
  expect(Object.keys(left.values).sort()).toEqual(
    ['pinion', `esc.${d.dragBlue}`, `esc.${d.punchBlue}`].sort(),
  )
  const rows = cardCopy(d.view(), left, currentSnapshot(d.view(), d.rook), 'assigned').flatMap((g) => g.rows)
  expect(rows.map((r) => [r.parameterId, r.label, r.there, r.canAssign]).sort()).toEqual(
    [
      [`esc.${d.dragGray}`, 'Drag', 8, true],
      [`esc.${d.punchBlue}`, 'Punch', 4, false],
    ].sort(),
  )
})

test('one value that the card can’t hold refuses them all', () => {
  const d = twoCars()
  const done = assignSeveral(d.m, d.view(), {
    carId: d.heron,
    values: [
      { parameterId: 'pinion', value: 22 },
      { parameterId: `esc.${d.dragGray}`, value: 20 },
    ],
  })
  expect(done).toMatchObject({ ok: false, error: { field: 'Drag', reason: 'is out of range' } })
  expect(d.view().cardValues.get(joinId(d.heron, 'pinion'))).toBeUndefined()
})
