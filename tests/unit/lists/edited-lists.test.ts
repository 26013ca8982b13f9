import { expect, it, vi } from 'vitest'
import { UndoStack } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { bringListIn, listColumns, planList, writeList } from '@/lib/lists'
import { must } from '../../support/must'
import { NOW, lists, docsOf, as, everything, edited, planOfCell } from './list-board'

vi.setConfig({ testTimeout: 180_000 })

it('an edited file comes back as changes that are shown first, written in one act and taken back by one undo', () => {
  const docs = docsOf()
  const before = everything(docs)
  const undo = new UndoStack()
  const ctx = { ...as(docs), onEdit: undo.push.bind(undo) }
  const csv = edited(writeList(docs, 'kit', 'cars'), 'rook', 'Weight ready to run (g)', () => '1601')
  const more = `${edited(csv, 'rook', 'Car number', () => "'=9").trimEnd()}\r\n`
  const plan = must(planList(ctx, 'kit', 'cars', more))
  expect(plan.changes.map((c) => [c.name, c.field, c.after])).toEqual([
    ['Rook', 'carNumber', '=9'],
    ['Rook', 'weightG', 1601],
  ])
  expect([plan.changed, plan.added, plan.problems]).toEqual([1, 0, []])
  expect(everything(docs)).toBe(before)
  expect(must(bringListIn(ctx, plan))).toBe(2)
  expect(docs.kit.getMap('cars').get('rook:weightG')).toBe(1601)
  must(undo.undo(ctx))
  const [was, is] = [JSON.parse(before) as Json, JSON.parse(everything(docs)) as Json]
  expect(is).toEqual(was)
})

it('a changed value is signed by whoever brings it in; signatures, proofs and strangers’ fields can’t be typed', () => {
  const docs = docsOf()
  const packs = writeList(docs, 'kit', 'packs')
  const [, first = ''] = packs.split('\r\n')
  const id = first.split(',')[0] ?? ''
  const state = planOfCell(as(docs), 'packs', packs, id, 'State', () => 'retired')
  expect(state.changes.map((c) => c.after)).toEqual([{ v: 'retired', by: 'boss', at: NOW }])
  const forged = planOfCell(as(docs), 'packs', packs, id, 'State: by', () => 'boss')
  expect([forged.changes.length, forged.problems[0]?.reason]).toEqual([0, 'can’t be typed'])
  const people = writeList(docs, 'kit', 'people')
  const person = people.split('\r\n')[1]?.split(',')[0] ?? ''
  const role = planOfCell(as(docs), 'people', people, person, 'Role', (r) =>
    r === 'manager' ? 'driver' : 'manager',
  )
  expect([role.changes, role.refused[0]?.why.remedy]).toEqual([[], 'Only the server can change it.'])
  const driver = planOfCell(as(docs, 'driver', 'nobody'), 'packs', packs, id, 'Weight (g)', () => '300')
  expect([driver.changes, driver.refused[0]?.why.reason]).toEqual([[], 'a driver may not change it'])
  expect(
    planOfCell(as(docs), 'packs', packs, id, 'Cells in series', () => '99').refused[0]?.why.remedy,
  ).toContain('1 to 6')
})

it('new rows, bad rows and other files are told apart by line', () => {
  const docs = docsOf()
  const text = 'id;Pack label;Cells in series;Wings\r\n;Z1;2;x\r\n;Z1;2;x\r\n!;Z2;2;x\r\n;Z3\r\n;Z4;two;x\r\n'
  const plan = must(planList(as(docs), 'kit', 'packs', text))
  expect(plan.added).toBe(1)
  expect(plan.changes.map((c) => [c.line, c.field, c.after])).toEqual([
    [2, 'label', 'Z1'],
    [2, 'cells', 2],
  ])
  expect(plan.refused).toEqual([])
  expect(plan.problems.map((p) => [p.line, p.reason])).toEqual([
    [3, 'is on line 2 already'],
    [4, 'is not an id'],
    [5, 'has 2 cells, the header has 4'],
    [6, 'is not a number'],
  ])
  expect(plan.unknown).toEqual(['Wings'])
  expect(plan.missing).toBeGreaterThan(3)
  const refused = (csv: string) => {
    const p = planList(as(docs), 'kit', 'packs', csv)
    return p.ok ? 'taken' : p.error.reason
  }
  expect(refused('name,weight\r\nA,1\r\n')).toBe('is missing')
  expect(refused('id,Wings\r\na,1\r\n')).toBe('has no column of this list')
  expect(refused('id,Pack label,Pack label\r\na,1,2\r\n')).toBe('is there twice')
  expect(
    must(planList(as(docs), 'meeting', 'heats', 'id,Planned start\r\nx,2026-05-02 09:00\r\n')).problems[0]
      ?.reason,
  ).toBe('has no time zone')
})

it('of a new record all is written or nothing, and the sums say what is', () => {
  const docs = docsOf()
  const taken = String(docs.kit.getMap('packs').get('p01:label'))
  const text = `id,Pack label,Cells in series\r\n,${taken},2\r\n,Z9,2\r\n,Z8,99\r\np02,,99\r\n`
  const plan = must(planList(as(docs), 'kit', 'packs', text))
  expect(plan.changes.map((c) => [c.line, c.field, c.after])).toEqual([
    [3, 'label', 'Z9'],
    [3, 'cells', 2],
    [5, 'label', null],
  ])
  expect(plan.problems.map((p) => [p.line, p.reason])).toEqual([
    [2, 'is the label of another pack'],
    [4, expect.any(String)],
  ])
  expect(plan.refused.map((r) => [r.change.line, r.change.field])).toEqual([[5, 'cells']])
  expect([plan.added, plan.changed]).toEqual([1, 1])
  must(bringListIn(as(docs), plan))
  const labels = [...docs.kit.getMap('packs').entries()].filter(([key]) => key.endsWith(':label'))
  expect(labels.filter(([, label]) => label === taken)).toHaveLength(1)
  const cells = [...docs.kit.getMap('packs').keys()].filter((key) => key.endsWith(':cells'))
  expect(cells.length).toBeLessThanOrEqual(labels.length)
})

it('a list is written only onto the board that it was shown on', () => {
  const docs = docsOf()
  const text = 'id,Car name,Weight ready to run (g)\r\nrook,Rook,1601\r\n'
  const plan = must(planList(as(docs), 'kit', 'cars', text))
  docs.kit.getMap('cars').set('rook:note', 'beside it')
  docs.kit.getMap('cars').set('rook:weightG', 1555)
  const refused = bringListIn(as(docs), plan)
  expect(refused.ok ? 'written' : refused.error.reason).toBe('the board was changed since you looked')
  expect(docs.kit.getMap('cars').get('rook:weightG')).toBe(1555)
  must(bringListIn(as(docs), must(planList(as(docs), 'kit', 'cars', text))))
  expect(docs.kit.getMap('cars').get('rook:weightG')).toBe(1601)

  const label = must(planList(as(docs), 'kit', 'packs', 'id,Pack label\r\n,Z1\r\n'))
  docs.kit.getMap('packs').set('another:label', 'z1 ')
  const twice = bringListIn(as(docs), label)
  expect(twice.ok ? 'written' : twice.error.reason).toBe('the board was changed since you looked')

  // A signed value is written whole: parts that somebody else changed meanwhile must not go back.
  const packs = writeList(docs, 'kit', 'packs')
  const id = packs.split('\r\n')[1]?.split(',')[0] ?? ''
  const state = planOfCell(as(docs), 'packs', packs, id, 'State', () => 'retired')
  const quicker = { v: 'used', by: 'petra-amsel', at: NOW + 5 }
  docs.kit.getMap('packs').set(`${id}:state`, quicker)
  expect(bringListIn(as(docs), state).ok).toBe(false)
  expect(docs.kit.getMap('packs').get(`${id}:state`)).toEqual(quicker)
})

it('labels are told apart as on the screens: by case and blanks never, and two may change places', () => {
  const docs = docsOf()
  const [a, b] = [docs.kit.getMap('packs').get('p01:label'), docs.kit.getMap('packs').get('p02:label')]
  const swap = must(planList(as(docs), 'kit', 'packs', `id,Pack label\r\np01,${b}\r\np02,${a}\r\n`))
  expect([swap.changes.length, swap.refused, swap.problems]).toEqual([2, [], []])
  must(bringListIn(as(docs), swap))
  expect(docs.kit.getMap('packs').get('p01:label')).toBe(b)
  const twice = must(planList(as(docs), 'kit', 'packs', 'id,Pack label\r\n,Z1\r\n," z1"\r\n'))
  expect(twice.problems.map((p) => [p.line, p.reason])).toEqual([[3, 'is on line 2 already']])
  // One that gives its label up leaves it free; one that may not is refused, and so is whoever counted on it.
  const handed = must(planList(as(docs), 'kit', 'packs', `id,Pack label\r\np01,${a}\r\np02,Z2\r\n`))
  expect(handed.refused).toEqual([])
  const stuck = must(
    planList(as(docs), 'kit', 'packs', `id,Pack label\r\np01,${a}\r\np02,${'x'.repeat(5000)}\r\n`),
  )
  expect(stuck.refused.map((r) => r.change.recordId)).toEqual(['p02', 'p01'])
})

it('a time is read only if the calendar has its day', () => {
  const docs = docsOf()
  const read = (time: string) => {
    const plan = must(planList(as(docs), 'meeting', 'heats', `id,Planned start\r\nx,${time}\r\n`))
    return plan.problems[0]?.reason ?? plan.changes[0]?.after
  }
  for (const time of [
    '2026-02-31T09:00Z',
    '2025-02-29T09:00Z',
    '2026-04-31 09:00+02:00',
    '2026-13-01T09:00Z',
  ])
    expect([time, read(time)]).toEqual([time, 'is not a time'])
  expect(read('2024-02-29T23:30-02:00')).toBe(Date.UTC(2024, 2, 1, 1, 30))
})

it('a proof can’t be typed, whichever of its columns the file has', () => {
  for (const [doc, name] of lists)
    for (const column of listColumns(doc, name).filter((c) => c.part === 'covers')) {
      const shown = listColumns(doc, name).find((c) => c.field === column.field && c.part === 'value')
      if (!shown) continue
      const text = `id,${shown.header}\r\nnew-one,yes\r\n`
      const plan = must(planList(as(docsOf()), doc, name, text))
      expect([name, plan.changes, plan.problems[0]?.reason]).toEqual([
        name,
        [],
        'is a proof and can’t be typed',
      ])
    }
})

it('a file that was made before somebody signed a value anew writes nothing over it, edited or not', () => {
  const docs = docsOf()
  const packs = docs.kit.getMap<Json>('packs')
  const [id = ''] = writeList(docs, 'kit', 'packs').split('\r\n')[1]?.split(',') ?? []
  const read = (v: number, at: number) => packs.set(`${id}:restVoltageV`, { v, by: 'ilse-brandt', at })
  const header = listColumns('kit', 'packs').find((c) => c.field === 'restVoltageV')?.header ?? ''
  const planNow = (csv: string) => must(planList(as(docs), 'kit', 'packs', csv))
  const told = (csv: string) => {
    const { changes, refused, problems } = planNow(csv)
    return [changes.map((c) => c.after), refused.map((r) => [r.change.field, r.why.reason]), problems]
  }
  const AHEAD = 'was changed on the board after the file was made'
  read(8.1, NOW - 3_600_000)
  const file = writeList(docs, 'kit', 'packs')
  expect(told(edited(file, id, header, () => '8.2'))).toEqual([[{ v: 8.2, by: 'boss', at: NOW }], [], []])

  read(7.4, NOW - 60_000)
  expect(told(file)).toEqual([[], [['restVoltageV', AHEAD]], []])
  expect(told(edited(file, id, header, () => '8.2'))).toEqual([[], [['restVoltageV', AHEAD]], []])
  // The rest of the row is an edit like any other.
  const more = planNow(edited(file, id, 'Weight (g)', () => '311'))
  expect(more.changes.map((c) => [c.field, c.after])).toEqual([['weightG', 311]])

  // Read once more, and the same: nothing to say.
  read(8.1, NOW - 60_000)
  expect(told(file)).toEqual([[], [], []])

  // There was none when the file was made.
  packs.delete(`${id}:restVoltageV`)
  const empty = writeList(docs, 'kit', 'packs')
  read(7.4, NOW - 60_000)
  expect(told(empty)).toEqual([[], [['restVoltageV', AHEAD]], []])
})
