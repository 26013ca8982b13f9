import * as Y from 'yjs'
import { expect, test } from 'vitest'
import {
  addClass,
  addEntry,
  addHeat,
  addRecord,
  applyRuleSheet,
  assignPack,
  assignValue,
  BoardReading,
  changedRules,
  changeHeat,
  changeRecord,
  createMeeting,
  dropHeat,
  fillMeeting,
  fitValue,
  moveEntry,
  moveHeat,
  readBackValue,
  setFirstDay,
  statePowerCycle,
  restoreHeat,
  shiftHeats,
  stampStart,
  type CopyChoice,
  type HeatFields,
} from '@/lib/board'
import { testBoard } from '../../support/board'
import { valueOf } from '../../support/running-order'

const DAY = Date.UTC(2026, 9, 10)
const at = (h: number, m: number) => DAY + (h * 60 + m) * 60_000

function withHeats() {
  const board = testBoard()
  const m = board.as('manager')
  valueOf(fillMeeting(m, board.view(), { name: 'Open', startsAt: DAY, trackId: null }))
  const roundId = valueOf(addRecord(m, 'meeting', 'rounds', { name: 'Qualifying 1' }))
  const classId = valueOf(addClass(m, board.view(), { name: '4WD' }))
  const fields = (number: number, plannedStart: number | null): HeatFields => ({
    roundId,
    classId,
    number,
    label: '',
    plannedStart,
    isBreak: false,
  })
  const heat = (number: number, plannedStart: number | null) =>
    valueOf(addHeat(m, board.view(), fields(number, plannedStart)))
  const listed = () => board.view().heats.live.map((h) => h.label ?? h.number)
  return { ...board, m, roundId, classId, fields, heat, listed }
}
const reasonOf = (r: { ok: true } | { ok: false; error: { reason: string } }) =>
  r.ok ? 'taken' : r.error.reason

test('heats stand by their planned start, breaks among them; a heat that gets another start moves to its place', () => {
  const b = withHeats()
  const one = b.heat(1, at(9, 0))
  b.heat(3, at(9, 20))
  b.heat(2, at(9, 10))
  valueOf(addHeat(b.m, b.view(), { ...b.fields(0, at(9, 15)), isBreak: true, label: 'Track watered' }))
  expect(b.listed()).toEqual([1, 2, 'Track watered', 3])
  valueOf(changeHeat(b.m, b.view(), { ...b.fields(1, at(9, 18)), heatId: one }))
  expect(b.listed()).toEqual([2, 'Track watered', 1, 3])
})

test('a heat moves up and down the list without touching another', () => {
  const b = withHeats()
  const [one, two, three] = [b.heat(1, at(9, 0)), b.heat(2, at(9, 10)), b.heat(3, at(9, 20))]
  valueOf(moveHeat(b.m, b.view(), { heatId: three, by: -1 }))
  expect(b.listed()).toEqual([1, 3, 2])
  valueOf(moveHeat(b.m, b.view(), { heatId: three, by: -1 }))
  expect(b.listed()).toEqual([3, 1, 2])
  expect(reasonOf(moveHeat(b.m, b.view(), { heatId: three, by: -1 }))).toBe('is the first')
  valueOf(moveHeat(b.m, b.view(), { heatId: one, by: 1 }))
  expect(b.listed()).toEqual([3, 2, 1])
  expect(b.view().heats.get(two)?.plannedStart).toBe(at(9, 10))
})

test('a second heat of the same number in a round and class, a heat without a number, a break without a name: refused', () => {
  const b = withHeats()
  b.heat(1, null)
  expect(reasonOf(addHeat(b.m, b.view(), b.fields(1, null)))).toBe('is already used in this round and class')
  expect(reasonOf(addHeat(b.m, b.view(), { ...b.fields(2, null), number: null }))).toBe('is missing')
  expect(reasonOf(addHeat(b.m, b.view(), { ...b.fields(2, null), isBreak: true }))).toBe('is missing')
  expect(b.listed()).toEqual([1])
})

test('shifting moves a heat and everything after it that has not started', () => {
  const b = withHeats()
  const heats = [b.heat(1, at(9, 0)), b.heat(2, at(9, 10)), b.heat(3, at(9, 20))]
  valueOf(stampStart(b.m, b.view(), { heatId: heats[1]!, at: at(9, 11), records: [] }))
  expect(valueOf(shiftHeats(b.m, b.view(), { fromHeatId: heats[1]!, minutes: 15 }))).toBe(1)
  expect(b.view().heats.live.map((h) => h.plannedStart)).toEqual([at(9, 0), at(9, 10), at(9, 35)])
})

test('a heat that has started is not dropped; a dropped one comes back as it was', () => {
  const b = withHeats()
  const heat = b.heat(1, at(9, 0))
  valueOf(dropHeat(b.m, b.view(), { heatId: heat }))
  expect(b.listed()).toEqual([])
  valueOf(restoreHeat(b.m, { heatId: heat }))
  expect(b.listed()).toEqual([1])
  valueOf(stampStart(b.m, b.view(), { heatId: heat, at: at(9, 1), records: [] }))
  expect(reasonOf(dropHeat(b.m, b.view(), { heatId: heat }))).toBe('has started')
})

test('an entry takes its pack along to another heat, and stands once in each', () => {
  const b = withHeats()
  const [one, two] = [b.heat(1, at(9, 0)), b.heat(2, at(9, 10))]
  const carId = valueOf(addRecord(b.m, 'kit', 'cars', { name: 'Rook' }))
  const pack = valueOf(addRecord(b.m, 'kit', 'packs', { label: 'P1' }))
  const fields = {
    driverName: 'Maren Oduya',
    carNumber: '14',
    transponder: '4180317',
    gridPosition: 2,
    carId,
  }
  const entry = valueOf(addEntry(b.m, b.view(), { heatId: one, ...fields }))
  valueOf(assignPack(b.m, b.view(), { runId: entry, packId: pack }))
  expect(
    reasonOf(
      addEntry(b.m, b.view(), { heatId: one, ...fields, driverName: 'OdUya, Maren', transponder: '' }),
    ),
  ).toBe('is already in this heat')
  valueOf(moveEntry(b.m, b.view(), { entryId: entry, heatId: two }))
  expect(b.view().entries.get(entry)).toMatchObject({ heatId: two, carId })
  expect(b.view().entries.get(entry)?.gridPosition).toBeUndefined()
  expect(b.view().runs.get(entry)?.packId?.v).toBe(pack)
  valueOf(stampStart(b.m, b.view(), { heatId: two, at: at(9, 11), records: [] }))
  expect(reasonOf(moveEntry(b.m, b.view(), { entryId: entry, heatId: one }))).toBe('has started')
})

test('a class takes over a rule sheet; a later change of the sheet leaves the meeting alone', () => {
  const b = withHeats()
  const sheet = valueOf(
    addRecord(b.m, 'kit', 'ruleSheets', {
      name: '2WD',
      voltageLimitV: 8.4,
      raceSeconds: 300,
      pointsTable: [20, 17],
    }),
  )
  const id = valueOf(addClass(b.m, b.view(), { ruleSheetId: sheet }))
  expect(b.view().classes.get(id)).toMatchObject({ name: '2WD', voltageLimitV: 8.4, pointsTable: [20, 17] })
  valueOf(applyRuleSheet(b.m, b.view(), { classId: b.classId, ruleSheetId: sheet }))
  expect(b.view().classes.get(b.classId)).toMatchObject({ name: '4WD', voltageLimitV: 8.4 })
  expect(reasonOf(addClass(b.m, b.view(), { ruleSheetId: 'none' }))).toBe('is not in the kit')
})

test('a new meeting takes classes, rounds and cards from a past one, but no read-back and no removed car', () => {
  const b = withHeats()
  const controllerId = valueOf(addRecord(b.m, 'kit', 'controllers', { name: 'Blue' }))
  const carId = valueOf(addRecord(b.m, 'kit', 'cars', { name: 'Rook', controllerId }))
  const old = valueOf(addRecord(b.m, 'kit', 'cars', { name: 'Old', removed: true }))
  const p = valueOf(
    addRecord(b.m, 'kit', 'controllerParameters', { controllerId, label: 'Boost', min: 0, max: 60, step: 1 }),
  )
  const t = { carId, parameterId: `esc.${p}` }
  valueOf(assignValue(b.m, b.view(), { ...t, value: 12 }))
  valueOf(fitValue(b.m, b.view(), { ...t, value: 10 }))
  valueOf(statePowerCycle(b.m, b.view(), t))
  valueOf(readBackValue(b.m, b.view(), { ...t, value: 10 }))
  valueOf(assignValue(b.m, b.view(), { carId: old, parameterId: 'pinion', value: 22 }))

  const meetingId = valueOf(
    createMeeting(b.m, { name: ' Winter Open ', startsAt: DAY, trackId: null, copiedFrom: 'autumn' }),
  )
  expect(b.view().meetings.get(meetingId)).toMatchObject({ name: 'Winter Open', copiedFrom: 'autumn' })
  const docs = { kit: b.docs.kit, meeting: new Y.Doc() }
  const next = new BoardReading(docs)
  const ctx = { ...b.as('manager'), docs }
  const copy = { classes: true, sheetsToday: false, rounds: true, day: true, assigned: true, fitted: true }
  const past = { name: 'Open', view: b.view(), copy }
  valueOf(fillMeeting(ctx, next.view(), { name: 'Winter Open', startsAt: DAY, trackId: null, past }))
  const view = next.view()
  expect(view.damaged).toEqual([])
  expect(view.classes.live.map((c) => c.name)).toEqual(['4WD'])
  expect(view.rounds.live.map((r) => r.name)).toEqual(['Qualifying 1'])
  expect(
    view.cardValues.live.map((v) => [v.id, v.assigned?.v, v.fitted?.v, v.readBack, v.fitted?.why]),
  ).toEqual([[`${carId}.esc.${p}`, 12, 10, undefined, 'last fitted at Open']])
  expect(view.heats.live).toEqual([])
  expect(reasonOf(fillMeeting(ctx, next.view(), { name: 'X', startsAt: DAY, trackId: null }))).toBe(
    'is already set up',
  )
  expect(reasonOf(createMeeting(b.m, { name: ' ', startsAt: DAY, trackId: null, copiedFrom: null }))).toBe(
    'is missing',
  )
  expect(
    createMeeting(b.as('mechanic'), { name: 'X', startsAt: DAY, trackId: null, copiedFrom: null }).ok,
  ).toBe(false)
})

test('a copy takes what is chosen: the day’s call and marshals, and rules as they were there or as their sheets say today', () => {
  const b = withHeats()
  const sheet = valueOf(
    addRecord(b.m, 'kit', 'ruleSheets', {
      name: '2WD',
      voltageLimitV: 8.4,
      raceSeconds: 300,
      countingRounds: 3,
    }),
  )
  const classId = valueOf(addClass(b.m, b.view(), { ruleSheetId: sheet }))
  valueOf(changeRecord(b.m, 'meeting', 'classes', classId, { name: '2WD, Sunday', minimumWeightG: 1500 }))
  valueOf(
    changeRecord(b.m, 'meeting', 'meeting', 'meeting', { stagingLeadSeconds: 480, marshalRule: 'table' }),
  )
  expect(changedRules(b.view(), classId)).toEqual({})
  valueOf(changeRecord(b.m, 'kit', 'ruleSheets', sheet, { voltageLimitV: 8.42, countingRounds: 2 }))
  expect(changedRules(b.view(), classId)).toEqual({ voltageLimitV: 8.42, countingRounds: 2 })

  const copied = (part: Partial<CopyChoice>) => {
    const docs = { kit: b.docs.kit, meeting: new Y.Doc() }
    const none = {
      classes: false,
      sheetsToday: false,
      rounds: false,
      day: false,
      assigned: false,
      fitted: false,
    }
    const past = { name: 'Open', view: b.view(), copy: { ...none, ...part } }
    const next = new BoardReading(docs)
    valueOf(
      fillMeeting({ ...b.as('manager'), docs }, next.view(), {
        name: 'Next',
        startsAt: DAY,
        trackId: null,
        past,
      }),
    )
    return next.view()
  }
  const sunday = { name: '2WD, Sunday', minimumWeightG: 1500, raceSeconds: 300, ruleSheetId: sheet }
  expect(copied({ classes: true }).classes.get(classId)).toMatchObject({
    ...sunday,
    voltageLimitV: 8.4,
    countingRounds: 3,
  })
  expect(copied({ classes: true, sheetsToday: true }).classes.get(classId)).toMatchObject({
    ...sunday,
    voltageLimitV: 8.42,
    countingRounds: 2,
  })
  const day = { stagingLeadSeconds: 480, marshalRule: 'table' }
  expect(copied({ day: true }).meeting.get('meeting')).toMatchObject(day)
  expect(copied({}).meeting.get('meeting')).toMatchObject({
    stagingLeadSeconds: 300,
    marshalRule: 'after-own-heat',
  })
  expect([copied({}).classes.live, copied({}).rounds.live]).toEqual([[], []])
})

test('a new meeting takes typed classes along, with the rules that the kit has for them, and its new track', () => {
  const board = testBoard()
  const m = board.as('manager')
  valueOf(addRecord(m, 'kit', 'ruleSheets', { name: '4WD Modified', drive: '4wd', raceSeconds: 300 }))
  valueOf(
    createMeeting(m, {
      name: 'Open',
      startsAt: DAY,
      trackId: 'field',
      copiedFrom: null,
      newTrack: ' Far Field ',
    }),
  )
  expect(board.view().tracks.get('field')?.name).toBe('Far Field')
  const classes = ['modified 4 WD', 'Truck', 'truck']
  valueOf(fillMeeting(m, board.view(), { name: 'Open', startsAt: DAY, trackId: 'field', classes }))
  expect(board.view().classes.live.map((c) => [c.name, c.raceSeconds])).toEqual([
    ['modified 4 WD', 300],
    ['Truck', undefined],
  ])
  const sheet = board.view().ruleSheets.live[0]!.id
  const names = [1, 2].map(() => {
    const id = valueOf(addClass(m, board.view(), { ruleSheetId: sheet }))
    return board.view().classes.get(id)?.name
  })
  expect(names).toEqual(['4WD Modified 2', '4WD Modified 3'])
})

test('a first day is written with the zone that it is a day of, in the meeting and in the kit’s list', () => {
  const board = testBoard()
  const m = board.as('manager')
  const there = { startsAt: DAY, zone: 'Pacific/Auckland' }
  const meetingId = valueOf(createMeeting(m, { name: 'Open', ...there, trackId: null, copiedFrom: null }))
  valueOf(fillMeeting(m, board.view(), { name: 'Open', ...there, trackId: null }))
  expect([board.view().meetings.get(meetingId), board.view().meeting.get('meeting')]).toMatchObject([
    there,
    there,
  ])
  const moved = { startsAt: DAY + 1, zone: 'Europe/Berlin' }
  valueOf(setFirstDay(m, { meetingId, ...moved }))
  expect([board.view().meetings.get(meetingId), board.view().meeting.get('meeting')]).toMatchObject([
    moved,
    moved,
  ])
})
