import fc from '../../support/fast-check'
import { expect, test } from 'vitest'
import { choiceWord } from '@/app/words/choice-words'
import { addRecord, UndoStack, type EditOrigin, type KitCollection } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import {
  addKitList,
  countedRange,
  kitColumns,
  labelRange,
  likeRecord,
  MOST_LABELS,
  nameField,
  nextLabel,
  planKitList,
  readKitList,
} from '@/lib/kit-list'
import { testBoard } from '../../support/board'
import { valueOf } from '../../support/running-order'

function kit() {
  const board = testBoard()
  const m = board.as('manager', 'petra')
  const read = (collection: KitCollection, text: string, fields?: (string | null)[]) =>
    readKitList(board.view(), text, { collection, word: choiceWord, fields })
  const bring = (
    collection: KitCollection,
    text: string,
    t: { fixed?: Record<string, Json>; like?: string } = {},
  ) => valueOf(addKitList(m, board.view(), planKitList(board.view(), collection, read(collection, text), t)))
  return { ...board, m, read, bring }
}
const rowsOf = (list: ReturnType<typeof readKitList>) => list.rows.map((r) => ({ name: r.name, ...r.values }))
const said = (list: ReturnType<typeof readKitList>) =>
  list.problems.map((p) => `${p.line} ${p.field} “${p.value}” ${p.reason}`)

test('a share is read as people write it, in % or of 1', () => {
  const list = kit().read('cars', 'Name\tDrive efficiency\nA\t85%\nB\t85\nC\t0.85\nD\t120\nE\t85 mm\n')
  expect(rowsOf(list).map((r) => (r as { driveEfficiency?: number }).driveEfficiency)).toEqual([
    0.85, 0.85, 0.85,
  ])
  expect(said(list)).toEqual([
    '5 Drive efficiency “120” must be 30 to 100%',
    '6 Drive efficiency “85 mm” is not in %',
  ])
})

test('a range of labels with what they share', () => {
  const list = kit().read('packs', 'P1 to P12, 5000 mAh, 2 cells, 3,2 mΩ\n')
  expect(list.problems).toEqual([])
  expect(list.rows).toHaveLength(12)
  expect(rowsOf(list)[11]).toEqual({ name: 'P12', capacityMah: 5000, cells: 2, resistanceMilliohm: 3.2 })
})

test.each([
  ['P9 to P11', ['P9', 'P10', 'P11']],
  ['P01-P03', ['P01', 'P02', 'P03']],
  ['T7..9', ['T7', 'T8', 'T9']],
  ['Set A 1 – 2', ['Set A 1', 'Set A 2']],
  ['A1 to B3', ['A1 to B3']],
  ['Bench-1', ['Bench-1']],
])('%s', (text, labels) => {
  expect(valueOf(labelRange(text))).toEqual(labels)
})

test('a range that counts down or never ends is refused', () => {
  expect(labelRange('P9 to P3')).toMatchObject({ ok: false, error: { reason: 'counts down' } })
  expect(labelRange('P1 to P999')).toMatchObject({ ok: false, error: { reason: 'names 999 things' } })
})

test('the next label follows the highest in use', () => {
  expect(nextLabel('P3', ['P3', 'P11', 'Q40'])).toBe('P12')
  expect(nextLabel('T07', ['T07', 'T08'])).toBe('T09')
  expect(nextLabel('Rook', [])).toBe('')
})

test('a table with a header: units in headers and cells, names of people and motors, words for choices', () => {
  const board = kit()
  board.bring('people', 'Maren Oduya\nTobiah Lund')
  board.bring('motors', 'Name\tTurns\tKv (rpm/V)\nQuick one\t7.5\t4400\nSteady\t10.5\t3200')
  const list = board.read(
    'cars',
    [
      'Car\tDriver\tDrive\tRace no\tTransponder\tMotor\tWeight (kg)\tShelf',
      'Heron\tLund, Tobiah\t4WD\t23\t5529041\tSteady\t1.64\tA',
      'Rook\tmaren oduya\tFour-wheel drive\t14\t4180317\tquick one\t1612 g\tB',
    ].join('\n'),
  )
  const id = (rows: readonly { id: string; name?: string }[], name: string) =>
    rows.find((r) => r.name === name)!.id
  const view = board.view()
  expect(list.problems).toEqual([])
  expect(list.table?.fields.at(-1)).toBeNull()
  expect(rowsOf(list)).toEqual([
    {
      name: 'Heron',
      driverId: id(view.people.live, 'Tobiah Lund'),
      drive: '4wd',
      carNumber: '23',
      transponder: '5529041',
      motorId: id(view.motors.live, 'Steady'),
      weightG: 1640,
    },
    {
      name: 'Rook',
      driverId: id(view.people.live, 'Maren Oduya'),
      drive: '4wd',
      carNumber: '14',
      transponder: '4180317',
      motorId: id(view.motors.live, 'Quick one'),
      weightG: 1612,
    },
  ])
})

test('what can’t be read is named by its line and leaves its row out', () => {
  const list = kit().read(
    'packs',
    [
      'Label;Cells;Capacity',
      'P1;2;5000',
      'P2;two;5000',
      'P3;2;50',
      ';2;5000',
      'P1;2;4000',
      'P4;2;5000 V',
      'P5;2.5;5000',
    ].join('\n'),
  )
  expect(list.rows.map((r) => r.name)).toEqual(['P1'])
  expect(said(list)).toEqual([
    '3 Cells in series “two” is not a number',
    '4 Capacity “50” is out of range',
    '5 Pack label “” is missing',
    '6 Pack label “P1” is on line 2 already',
    '7 Capacity “5000 V” is not in mAh',
    '8 Cells in series “2.5” is not a whole number',
  ])
})

test('a value that matches no field, a driver who is not in the kit', () => {
  expect(said(kit().read('packs', 'P1, purple'))).toEqual(['1 Value “purple” matches no field'])
  expect(said(kit().read('cars', 'Name,Driver\nHeron,Nobody Known'))).toEqual([
    '2 Driver “Nobody Known” is not in the kit',
  ])
})

test('columns that were guessed wrong can be corrected', () => {
  const board = kit()
  const text = 'Label,Capacity,Cycles\nP1,5000,12'
  expect(rowsOf(board.read('packs', text))).toEqual([{ name: 'P1', capacityMah: 5000, cycles: 12 }])
  expect(rowsOf(board.read('packs', text, ['label', 'capacityMah', null]))).toEqual([
    { name: 'P1', capacityMah: 5000 },
  ])
})

test('what is in the kit already changes where it differs, and one undo takes the whole list back', () => {
  const board = kit()
  board.bring('packs', 'P1 to P3, 5000 mAh, 2 cells')
  const before = board.view().packs.live
  const undo = new UndoStack()
  const ctx = { ...board.m, onEdit: (e: EditOrigin) => undo.push(e) }
  const list = board.read('packs', 'P1 to P5, 5200 mAh\n')
  const plan = planKitList(board.view(), 'packs', list)
  expect(plan.changed.map((c) => [c.name, c.before, c.values])).toEqual(
    ['P1', 'P2', 'P3'].map((p) => [p, { capacityMah: 5000 }, { capacityMah: 5200 }]),
  )
  expect(plan.added.map((a) => a.name)).toEqual(['P4', 'P5'])
  valueOf(addKitList(ctx, board.view(), plan))
  expect(board.view().packs.live).toHaveLength(5)
  valueOf(undo.undo(ctx))
  expect(board.view().packs.live).toEqual(before)
  expect(planKitList(board.view(), 'packs', board.read('packs', 'P1 to P3, 5000 mAh')).same).toBe(3)
})

test('P1 is the P01 of the kit', () => {
  const board = kit()
  board.bring('packs', 'P01 to P03, 5000 mAh')
  const plan = planKitList(board.view(), 'packs', board.read('packs', 'P1 to P4, 5200 mAh'))
  expect([plan.changed.map((c) => c.name), plan.added.map((a) => a.name)]).toEqual([
    ['P1', 'P2', 'P3'],
    ['P4'],
  ])
})

test('copies take over all but what is the one’s own; a speed control brings its parameters', () => {
  const board = kit()
  const pack = valueOf(
    addRecord(board.m, 'kit', 'packs', {
      label: 'P12',
      cells: 2,
      capacityMah: 5000,
      weightG: 288,
      resistanceMilliohm: 3.1,
      cycles: 40,
      health: 'suspect',
      note: 'swollen once',
    }),
  )
  board.bring('packs', 'P13 to P24', { like: pack })
  expect(board.view().packs.live).toHaveLength(13)
  expect(board.view().packs.live.find((p) => p.label === 'P24')).toEqual({
    id: expect.any(String) as string,
    label: 'P24',
    cells: 2,
    capacityMah: 5000,
    weightG: 288,
    order: expect.any(Number) as number,
  })
  const box = valueOf(addRecord(board.m, 'kit', 'controllers', { name: 'Box 1', currentLimitA: 380 }))
  board.bring(
    'controllerParameters',
    'Drag brake, min 0, max 40, step 2, unit %\nTurbo wait, min 0, max 800, step 25, unit ms',
    { fixed: { controllerId: box } },
  )
  board.bring('controllers', 'Box 2', { like: box })
  const copy = board.view().controllers.live.find((c) => c.name === 'Box 2')!
  expect(copy.currentLimitA).toBe(380)
  const parameters = (id: string) =>
    board
      .view()
      .controllerParameters.live.filter((p) => p.controllerId === id)
      .map(({ label, min, max, step, unit }) => ({ label, min, max, step, unit }))
  expect(parameters(copy.id)).toHaveLength(2)
  expect(parameters(copy.id)).toEqual(parameters(box))
})

test('so many copies of a pack are the labels after it; a copy changes nothing that is there, whatever its line says', () => {
  expect(['P13', 'P08', 'P99'].map((first) => countedRange(first, 12))).toEqual([
    'P13 to P24',
    'P08 to P19',
    'P99 to P110',
  ])
  expect(countedRange('P13', 1)).toBe('P13')
  expect(valueOf(labelRange(countedRange('P1', MOST_LABELS)))).toHaveLength(MOST_LABELS)

  const board = kit()
  board.bring('packs', 'P12 to P14, 5000 mAh')
  const like = board.view().packs.live.find((p) => p.label === 'P12')!.id
  const before = board.view().packs.live
  const plan = planKitList(board.view(), 'packs', board.read('packs', 'P13 to P16, 4800 mAh'), { like })
  expect(plan.taken.map((p) => `${p.field} ${p.value} ${p.reason}`)).toEqual([
    'Pack label P13 is in the kit already',
    'Pack label P14 is in the kit already',
  ])
  expect([plan.changed, plan.same, plan.added.map((a) => a.name)]).toEqual([[], 0, ['P15', 'P16']])
  const undo = new UndoStack()
  const ctx = { ...board.m, onEdit: (e: EditOrigin) => undo.push(e) }
  valueOf(addKitList(ctx, board.view(), plan))
  expect(board.view().packs.live.find((p) => p.label === 'P16')?.capacityMah).toBe(4800)
  valueOf(undo.undo(ctx))
  expect(board.view().packs.live).toEqual(before)
})

test('a pasted table of 500 packs is one edit and one undo', () => {
  const board = kit()
  const rows = Array.from({ length: 500 }, (_, i) => `P${i + 1}\t5000\t2`)
  const list = board.read('packs', ['Label\tCapacity (mAh)\tCells', ...rows].join('\n'))
  const undo = new UndoStack()
  const ctx = { ...board.m, onEdit: (e: EditOrigin) => undo.push(e) }
  expect(valueOf(addKitList(ctx, board.view(), planKitList(board.view(), 'packs', list)))).toBe(500)
  expect(board.view().packs.live).toHaveLength(500)
  valueOf(undo.undo(ctx))
  expect(board.view().packs.live).toEqual([])
})

test('parameters of two speed controls with one label are two, and a range upside down is refused', () => {
  const board = kit()
  const [a, b] = ['Box 1', 'Box 2'].map((name) =>
    valueOf(addRecord(board.m, 'kit', 'controllers', { name })),
  ) as [string, string]
  board.bring('controllerParameters', 'Punch, min 1, max 9, step 1', { fixed: { controllerId: a } })
  board.bring('controllerParameters', 'Punch, min 1, max 9, step 1', { fixed: { controllerId: b } })
  expect(board.view().controllerParameters.live).toHaveLength(2)
  expect(said(board.read('controllerParameters', 'Punch, min 9, max 1, step 1'))).toEqual([
    '1 Lowest “9” is not below the highest, 1',
  ])
})

test('a mechanic may not write a list that is the manager’s: nothing is written', () => {
  const board = kit()
  const list = board.read('people', 'Ada Thorne')
  const done = addKitList(
    board.as('mechanic', 'ilse'),
    board.view(),
    planKitList(board.view(), 'people', list),
  )
  expect(done.ok).toBe(false)
  expect(board.view().people.live).toEqual([])
})

test('whatever is pasted, reading it throws nothing and every line is a row, a problem or blank', () => {
  const collections: KitCollection[] = ['packs', 'cars', 'tireSets', 'controllerParameters', 'tracks']
  fc.assert(
    fc.property(
      fc.constantFrom(...collections),
      fc.array(fc.array(fc.oneof(fc.string(), fc.constantFrom('P1', '5000 mAh', '2', '4wd', '"', 'Label')))),
      fc.constantFrom(',', ';', '\t'),
      (collection, rows, delimiter) => {
        const list = kit().read(collection, rows.map((r) => r.join(delimiter)).join('\n'))
        for (const row of list.rows) {
          expect(row.name.trim()).not.toBe('')
          for (const field of Object.keys(row.values))
            expect(kitColumns(collection).map((c) => c.field)).toContain(field)
        }
      },
    ),
    { numRuns: 200 },
  )
})

test('every list of the kit has columns, the name first', () => {
  for (const collection of ['people', 'cars', 'motors', 'packs', 'tireSets', 'checklistItems'] as const)
    expect(kitColumns(collection)[0]?.field).toBe(nameField(collection))
  expect(likeRecord(kit().view(), 'packs', 'none')).toEqual({})
})
