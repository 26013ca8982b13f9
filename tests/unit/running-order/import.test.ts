import * as Y from 'yjs'
import { expect, test } from 'vitest'
import { DEMO_ROSTER } from '@/demo/roster'
import {
  acceptRun,
  addRecord,
  assignPack,
  assignTires,
  changeRecord,
  signCheck,
  stampStart,
  UndoStack,
  type EditOrigin,
} from '@/lib/board'
import { MAX_UPDATE_BYTES } from '@/lib/core/update-size'
import { importRunningOrder, NEW_CLASS, NO_CHOICES, planImport } from '@/lib/running-order'
import { merge } from '../../support/board'
import { readText, valueOf } from '../../support/running-order'
import { bring, demo, describe, meetingBoard, runOf } from '../../support/running-order-board'

test('the first import writes every heat, and finds the team’s cars in all three layouts', () => {
  for (const name of [
    'saltmarsh-semicolons.csv',
    'saltmarsh-tabs-merged-header.tsv',
    'saltmarsh-quoted.csv',
  ]) {
    const board = meetingBoard()
    expect(valueOf(bring(board, demo(name)).result)).toMatchObject({ entries: 246 })
    const view = board.view()
    expect(view.damaged).toEqual([])
    expect(view.rounds.live.map((r) => [r.name, r.kind])).toEqual([
      ['Qualifying 1', 'qualifying'],
      ['Qualifying 2', 'qualifying'],
      ['Qualifying 3', 'qualifying'],
    ])
    expect(view.heats.live.filter((h) => !h.isBreak).length).toBe(30)
    const ours = view.entries.live.filter((e) => e.carId)
    expect(ours.length).toBe(3 * DEMO_ROSTER.length)
    for (const r of DEMO_ROSTER) {
      const runs = ours.filter((e) => e.carId === r.carId)
      expect(runs.map((e) => e.transponder)).toEqual(Array(3).fill(r.transponder))
      expect(
        runs.every((e) => view.heats.get(e.heatId)?.classId === `mod-${r.class.slice(0, 3).toLowerCase()}`),
      ).toBe(true)
    }
    const order = view.heats.live.map((h) => h.plannedStart ?? 0)
    expect(order).toEqual([...order].sort((a, b) => a - b))
  }
})

test('importing the same file again changes nothing', () => {
  const board = meetingBoard()
  bring(board, demo('saltmarsh-semicolons.csv'))
  const before = Y.encodeStateAsUpdate(board.docs.meeting!)
  const again = bring(board, demo('saltmarsh-semicolons.csv'))
  expect([again.shown.changes, again.shown.writes, again.shown.firstImport]).toEqual([[], [], false])
  expect(again.result.ok).toBe(true)
  expect(Y.encodeStateAsUpdate(board.docs.meeting!)).toEqual(before)
})

test('the corrected file keeps assignments, checks and stamps, and says exactly what changes', () => {
  const board = meetingBoard()
  const { m } = board
  bring(board, demo('saltmarsh-semicolons.csv'))
  const pack = valueOf(addRecord(m, 'kit', 'packs', { label: 'P09', cells: 2 }))
  const tires = valueOf(addRecord(m, 'kit', 'tireSets', { label: 'T3' }))
  // Plover changes heats, Dunlin's heat is dropped, Curlew borrows a transponder: each has something to lose.
  const plover = runOf(board, 'Qualifying 2', 'plover')
  const dunlin = runOf(board, 'Qualifying 3', 'dunlin')
  const curlew = runOf(board, 'Qualifying 2', 'curlew')
  for (const run of [plover, dunlin, curlew]) {
    valueOf(assignPack(m, board.view(), { runId: run.id, packId: pack }))
    valueOf(assignTires(m, board.view(), { runId: run.id, tireSetId: tires }))
    valueOf(signCheck(m, { scopeId: run.id, itemId: 'wheelnuts', done: true }))
    valueOf(acceptRun(m, board.view(), { runId: run.id, digest: 'd' }))
  }
  const firstHeat = board.view().heats.live[0]!
  valueOf(
    stampStart(m, board.view(), { heatId: firstHeat.id, at: firstHeat.plannedStart! + 35_000, records: [] }),
  )
  const before = Object.fromEntries(
    [plover, dunlin, curlew].map((r) => [
      r.id,
      [board.view().runs.get(r.id), board.view().checks.get(`${r.id}.wheelnuts`)],
    ]),
  )

  const corrected = demo('saltmarsh-semicolons-corrected.csv')
  const untouched = Y.encodeStateAsUpdate(board.docs.meeting!)
  const shown = planImport(board.view(), corrected, NO_CHOICES)
  expect(Y.encodeStateAsUpdate(board.docs.meeting!)).toEqual(untouched)

  const said = shown.changes.map(describe)
  const moved = shown.changes.filter((c) => c.kind === 'time-moved')
  // Ten heats and a break in round 2, nine and a break in round 3, each twenty minutes later; round 1 stays.
  expect(moved.length).toBe(21)
  expect(moved.every((c) => c.kind === 'time-moved' && c.to - (c.from ?? 0) === 20 * 60_000)).toBe(true)
  const others = said.filter(
    (_, i) => shown.changes[i]?.kind !== 'time-moved' && !said[i]?.includes('grid position'),
  )
  const q3 = (n: number) => `Qualifying 3, 2WD Modified, heat ${n}`
  expect(others).toEqual([
    'Tobiah Lund: Qualifying 2, 2WD Modified, heat 4 to Qualifying 2, 2WD Modified, heat 3',
    'entry-added Tuva Brekk, Qualifying 2, 4WD Modified, heat 6',
    'Joss Whitlow, Qualifying 2, 4WD Modified, heat 8: transponder 6642190 to 9000111',
    ...[
      [1, 'Magda Ferrow'],
      [1, 'Bettina Vask'],
      [2, 'Zelda Fenwright'],
      [2, 'Idris Calloway-Pike'],
      [3, 'Greta Holm-Vane'],
      [3, 'Quentin Vale-Hurst'],
      [4, 'Odo Brackwater'],
      [4, 'Anouk Reyes'],
    ]
      .map(([n, who]) => [n, who] as const)
      .map(([n, who]) => `${who}: ${q3(5)} to ${q3(Number(n))}`),
    'entry-added Tuva Brekk, Qualifying 3, 4WD Modified, heat 6',
    'Joss Whitlow, Qualifying 3, 4WD Modified, heat 8: transponder 6642190 to 9000111',
    'entry-removed Kasimir Bloom, Qualifying 2, 4WD Modified, heat 6',
    `heat-dropped ${q3(5)} (0)`,
    'entry-removed Kasimir Bloom, Qualifying 3, 4WD Modified, heat 6',
  ])

  valueOf(importRunningOrder(m, board.view(), { order: corrected, choices: NO_CHOICES, shown }))
  const view = board.view()
  for (const [id, was] of Object.entries(before))
    expect([view.runs.get(id), view.checks.get(`${id}.wheelnuts`)]).toEqual(was)
  expect(runOf(board, 'Qualifying 2', 'plover').id).toBe(plover.id)
  expect(view.heats.get(view.entries.get(plover.id)?.heatId)?.number).toBe(3)
  expect(view.heats.get(view.entries.get(dunlin.id)?.heatId)?.number).toBe(4)
  expect(view.entries.get(curlew.id)).toMatchObject({ transponder: '9000111', carId: 'curlew' })
  expect(view.heats.get(firstHeat.id)?.startedAt?.v).toBe(firstHeat.plannedStart! + 35_000)
  const dropped = [...view.heats.all.values()].filter((h) => h.removed)
  expect(dropped.map((h) => [h.number, view.rounds.get(h.roundId)?.name])).toEqual([[5, 'Qualifying 3']])

  // The first file again: the heat comes back as itself, and everything moves back.
  const back = bring(board, demo('saltmarsh-semicolons.csv'))
  expect(back.shown.changes.filter((c) => c.kind === 'heat-returned').map(describe)).toEqual([
    `heat-returned ${q3(5)}`,
  ])
  expect(back.result.ok).toBe(true)
  expect(board.view().heats.get(dropped[0]!.id)?.removed).toBeUndefined()
  expect(runOf(board, 'Qualifying 3', 'dunlin').id).toBe(dunlin.id)
  for (const [id, was] of Object.entries(before))
    expect([board.view().runs.get(id), board.view().checks.get(`${id}.wheelnuts`)]).toEqual(was)
})

test('a dropped heat names what its runs hold; a heat that has started stays', () => {
  const board = meetingBoard()
  const two = readText(
    'Heat,Class,Driver,Transponder\n1,2WD Modified,Maren Oduya,4180325\n2,2WD Modified,Tobiah Lund,5529066\n3,2WD Modified,Nell Orr,1\n',
  ).order
  bring(board, two)
  const run = board.view().entries.live.find((e) => e.carId === 'plover')!
  const pack = valueOf(addRecord(board.m, 'kit', 'packs', { label: 'P02' }))
  valueOf(assignPack(board.m, board.view(), { runId: run.id, packId: pack }))
  const third = board.view().heats.live.find((h) => h.number === 3)!
  valueOf(stampStart(board.m, board.view(), { heatId: third.id, at: Date.UTC(2026, 9, 10, 8), records: [] }))
  const one = readText('Heat,Class,Driver,Transponder\n1,2WD Modified,Maren Oduya,4180325\n').order
  expect(planImport(board.view(), one, NO_CHOICES).changes.map(describe)).toEqual([
    'heat-dropped Round 1, 2WD Modified, heat 2 (1) Tobiah Lund: pack P02',
    'heat-kept Round 1, 2WD Modified, heat 3: started',
  ])
  const second = board.view().heats.live.find((h) => h.number === 2)!
  const kept = planImport(board.view(), one, { ...NO_CHOICES, keepHeatIds: [second.id] })
  expect(kept.changes.map(describe)[0]).toBe('heat-kept Round 1, 2WD Modified, heat 2: chosen')
  expect(kept.writes).toEqual([])
})

test('bad rows stop the import until somebody says to leave them out, and then nothing is dropped from the board', () => {
  const board = meetingBoard()
  const good =
    'Heat,Class,Driver\n1,2WD Modified,Maren Oduya\n1,2WD Modified,Nell Orr\n2,2WD Modified,Tobiah Lund\n'
  bring(board, readText(good).order)
  const bad = readText('Heat,Class,Driver\n1,2WD Modified,Maren Oduya\nx,2WD Modified,Tobiah Lund\n').order
  const before = Y.encodeStateAsUpdate(board.docs.meeting!)
  const refused = bring(board, bad).result
  expect(refused).toEqual({
    ok: false,
    error: {
      field: 'Running order',
      value: '1 bad rows',
      reason: 'would be skipped',
      remedy: 'Correct them in the file, or choose to import only the good rows.',
    },
  })
  expect(Y.encodeStateAsUpdate(board.docs.meeting!)).toEqual(before)
  const leave = bring(board, bad, { ...NO_CHOICES, leaveOutBad: true })
  expect(leave.shown.changes.map(describe)).toEqual([
    'entry-kept Nell Orr, Round 1, 2WD Modified, heat 1: rows-left-out',
    'heat-kept Round 1, 2WD Modified, heat 2: rows-left-out',
  ])
  expect(leave.result.ok).toBe(true)
  expect(board.view().heats.live.length).toBe(2)
})

test('rounds and classes that a file does not list are left alone', () => {
  const board = meetingBoard()
  bring(board, demo('saltmarsh-semicolons.csv'))
  const later = readText('Heat,Round,Class,Driver\n1,Finals,2WD Modified,Maren Oduya\n').order
  const { shown, result } = bring(board, later)
  expect(shown.changes.map((c) => c.kind)).toEqual(['round-added', 'heat-added'])
  expect(result.ok).toBe(true)
  expect(board.view().rounds.live.at(-1)).toMatchObject({ name: 'Finals', kind: 'final' })
  expect(board.view().heats.live.length).toBe(34)
})

test('an unknown class names its rows and can be matched or added; a near name is found', () => {
  const board = meetingBoard()
  const { order } = readText(
    'Heat,Class,Driver\n1,Modified 4 WD,Maren Oduya\n2,2wd mod.,Maren Oduya\n3,Truck,Odo Tell\n3,Truck,Nell Orr\n',
  )
  const open = planImport(board.view(), order, NO_CHOICES)
  expect(open.classes.map((c) => [c.text, c.answer, c.guessed])).toEqual([
    ['Modified 4 WD', 'mod-4wd', true],
    ['2wd mod.', 'mod-2wd', true],
    ['Truck', null, false],
  ])
  expect(open.problems).toEqual([
    {
      line: 4,
      lastLine: 5,
      severity: 'bad',
      field: 'Class',
      value: 'Truck',
      reason: 'is not a class of this meeting',
      remedy: 'Choose its class under “Classes”, or add it as a new one.',
    },
  ])
  const choices = { ...NO_CHOICES, classes: { truck: NEW_CLASS } }
  expect(bring(board, order, choices).result.ok).toBe(true)
  expect(board.view().classes.live.map((c) => c.name)).toContain('Truck')
  const again = planImport(board.view(), order, NO_CHOICES)
  expect([again.problems, again.writes]).toEqual([[], []])
})

test('a new class takes its rules from the rule sheet of its name', () => {
  const board = meetingBoard()
  valueOf(
    addRecord(board.m, 'kit', 'ruleSheets', {
      name: '4WD Stock',
      drive: '4wd',
      raceSeconds: 300,
      voltageLimitV: 8.4,
    }),
  )
  const { order } = readText('Heat,Class,Driver\n1,4WD Stock,Maren Oduya\n')
  bring(board, order, { ...NO_CHOICES, classes: { '4wd stock': NEW_CLASS } })
  expect(board.view().classes.live.find((c) => c.name === '4WD Stock')).toMatchObject({
    drive: '4wd',
    raceSeconds: 300,
    voltageLimitV: 8.4,
  })
})

test('cars are found by transponder, name in any order or case, and number; a contradiction is asked', () => {
  const board = meetingBoard()
  const { order } = readText(
    [
      'Heat;Class;Driver;No;Transponder',
      '1;4WD Modified;ODUYA Maren;99;1000001',
      '1;4WD Modified;Stand In;98;5529041',
      '1;4WD Modified;Réyes, Anouk;7;',
      '1;4WD Modified;J. Whitlow;31;',
      '1;4WD Modified;Someone Else;14;',
      '2;2WD Modified;Tobiah Lund;23;5529041',
    ].join('\n'),
  )
  const plan = planImport(board.view(), order, NO_CHOICES)
  expect(
    plan.heats.flatMap((h) =>
      h.entries.map((e) => [e.listed.driverName, e.carId, e.match.suggested, e.match.doubt]),
    ),
  ).toEqual([
    [
      'ODUYA Maren',
      null,
      'rook',
      'The transponder 1000001 is not Rook’s (4180317). The number 99 is not Rook’s (14). Is it somebody with the same name?',
    ],
    ['Stand In', null, 'heron', 'The transponder is Heron’s (Tobiah Lund), the name is Stand In.'],
    ['Réyes, Anouk', 'kestrel', null, null],
    ['J. Whitlow', null, 'curlew', 'The number is Curlew’s, the name is J. Whitlow.'],
    ['Someone Else', null, null, null],
    ['Tobiah Lund', 'plover', null, 'The transponder belongs to Heron, which is not in this class.'],
  ])
  expect(plan.open).toHaveLength(3)
  const racer = plan.heats[0]!.entries[4]!.racer
  const corrected = planImport(board.view(), order, { ...NO_CHOICES, cars: { [racer]: 'rook' } })
  expect(corrected.heats[0]!.entries[4]).toMatchObject({ carId: 'rook', match: { by: 'choice' } })
})

test('a driver with two cars of one class is asked about; the answer stays over a re-import', () => {
  const board = meetingBoard()
  valueOf(
    changeRecord(board.m, 'kit', 'cars', 'spare', { name: 'Spare', driverId: 'maren-oduya', drive: '4wd' }),
  )
  const { order } = readText('Heat,Class,Driver\n1,4WD Modified,Maren Oduya\n')
  const plan = planImport(board.view(), order, NO_CHOICES)
  expect(plan.heats[0]!.entries[0]!.match).toEqual({
    carId: null,
    by: 'none',
    doubt: 'Maren Oduya has 2 cars in this class. Pick one.',
    ask: true,
    suggested: null,
  })
  bring(board, order, { ...NO_CHOICES, cars: { [plan.heats[0]!.entries[0]!.racer]: 'spare' } })
  expect(planImport(board.view(), order, NO_CHOICES).writes).toEqual([])
  expect(board.view().entries.live[0]?.carId).toBe('spare')
})

test('a board that changed since the preview refuses the import, and nothing is written', () => {
  const board = meetingBoard()
  const { order } = readText('Heat,Class,Driver\n1,4WD Modified,Maren Oduya\n')
  const shown = planImport(board.view(), order, NO_CHOICES)
  bring(board, readText('Heat,Class,Driver\n1,4WD Modified,Nell Orr\n').order)
  const before = Y.encodeStateAsUpdate(board.docs.meeting!)
  const r = importRunningOrder(board.m, board.view(), { order, choices: NO_CHOICES, shown })
  expect(r.ok ? '' : r.error.reason).toBe('the board has changed since the preview')
  expect(Y.encodeStateAsUpdate(board.docs.meeting!)).toEqual(before)
})

test('only a manager imports; a mechanic is refused and nothing is written', () => {
  const board = meetingBoard()
  const before = Y.encodeStateAsUpdate(board.docs.meeting!)
  const r = bring(
    board,
    demo('saltmarsh-semicolons.csv'),
    NO_CHOICES,
    board.as('mechanic', 'ilse-brandt'),
  ).result
  expect(r.ok ? '' : r.error.remedy).toBe('Only a manager can do this.')
  expect(Y.encodeStateAsUpdate(board.docs.meeting!)).toEqual(before)
})

test('two phones that import one file while offline end with each heat once', () => {
  const a = meetingBoard()
  const b = meetingBoard()
  bring(a, demo('saltmarsh-semicolons.csv'))
  bring(b, demo('saltmarsh-tabs-merged-header.tsv'))
  merge(a.docs, b.docs)
  expect(a.view().heats.live.length).toBe(33)
  expect(a.view().entries.live.length).toBe(246)
  expect(b.view().entries.live).toEqual(a.view().entries.live)
})

test('six hundred heats of ten go in as one edit in messages that the server takes, and one undo takes them back', () => {
  const rows = ['Heat,Class,Start,Driver,No,Transponder,Grid']
  for (let h = 1; h <= 600; h++)
    for (let e = 1; e <= 10; e++)
      rows.push(
        `${h},4WD Modified,${8 + Math.floor(h / 60)}:${String(h % 60).padStart(2, '0')},Räcer${e} Family${h},${e},${1e6 + h * 100 + e},${e}`,
      )
  const board = meetingBoard()
  const updates: number[] = []
  board.docs.meeting!.on('update', (update: Uint8Array) => updates.push(update.length))
  const edits: EditOrigin[] = []
  const undo = new UndoStack()
  const ctx = {
    ...board.m,
    onEdit: (e: EditOrigin) => {
      edits.push(e)
      undo.push(e)
    },
  }
  const { result } = bring(board, readText(rows.join('\n')).order, NO_CHOICES, ctx)
  expect(valueOf(result)).toEqual({ heats: 600, entries: 6000 })
  expect(edits).toHaveLength(1)
  expect(updates.length).toBeGreaterThan(1)
  expect(Math.max(...updates)).toBeLessThanOrEqual(MAX_UPDATE_BYTES)
  valueOf(undo.undo(ctx))
  expect(board.view().heats.live).toEqual([])
  expect(Math.max(...updates)).toBeLessThanOrEqual(MAX_UPDATE_BYTES)
})

test('“add as a new class” said twice adds it once', () => {
  const board = meetingBoard()
  const { order } = readText('Heat,Class,Driver\n1,Truck,Odo Tell\n')
  const choices = { ...NO_CHOICES, classes: { truck: NEW_CLASS } }
  bring(board, order, choices)
  expect(planImport(board.view(), order, choices).writes).toEqual([])
})
