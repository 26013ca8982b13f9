import { expect, test } from 'vitest'
import * as Y from 'yjs'
import {
  BoardReading,
  CAR_PARAMETERS,
  changeRecord,
  CHECKLIST_KINDS,
  exportDoc,
  KIT_TRIGGERS,
  removeRecord,
  runEdit,
  STARTER_CHECKLISTS,
  starterRecords,
  triggerMatches,
  writeStarterKit,
} from '@/lib/board'
import { ok } from '@/lib/core/result'
import { testBoard } from '../../support/board'

function starterKit() {
  const doc = new Y.Doc()
  writeStarterKit(doc)
  return { doc, view: new BoardReading({ kit: doc, meeting: null }).view() }
}

test('a starter kit is readable: nothing damaged, every list has items, every rule names a list that is there', () => {
  const { view } = starterKit()
  expect(view.damaged).toEqual([])
  expect(view.checklists.live.map((l) => l.kind)).toEqual([...CHECKLIST_KINDS])
  for (const list of view.checklists.live) {
    const items = view.checklistItems.live.filter((i) => i.checklistId === list.id)
    expect(items.length, list.name).toBeGreaterThan(4)
  }
  for (const rule of view.followUpRules.live)
    if (rule.checklistId) expect(view.checklists.get(rule.checklistId), rule.name).toBeDefined()
  expect(view.ruleSheets.live.map((s) => s.drive)).toEqual(['2wd', '4wd'])
})

test('every record of the starter kit could have been written by a manager', () => {
  const board = testBoard()
  for (const { collection, id, fields } of starterRecords()) {
    const written = runEdit(board.as('manager'), 'starter', (w) => {
      for (const [field, value] of Object.entries(fields)) w.put('kit', collection, id, field, value)
      return ok(undefined)
    })
    expect(written, `${collection} ${id}`).toEqual({ ok: true, value: undefined })
  }
})

test('ids are fixed and used once', () => {
  const keys = starterRecords().map((r) => `${r.collection} ${r.id}`)
  expect(new Set(keys).size).toBe(keys.length)
  expect(exportDoc('kit', starterKit().doc)).toEqual(exportDoc('kit', starterKit().doc))
})

test('every trigger is a value of the card, a speed-control pattern or a change in the kit', () => {
  const { view } = starterKit()
  const known = new Set<string>([...CAR_PARAMETERS.map((p) => p.id), ...KIT_TRIGGERS, 'esc.*'])
  for (const rule of view.followUpRules.live)
    for (const trigger of rule.triggers ?? []) expect(known, `${rule.name}: ${trigger}`).toContain(trigger)
})

// Common practice, no source: which work a change calls for.
test.each([
  ['motor', 'recalibrate'],
  ['motor', 'gear-mesh'],
  ['throttleEndPoint', 'recalibrate'],
  ['brakeEndPoint', 'recalibrate'],
  ['throttleTrim', 'recalibrate'],
  ['pinion', 'gear-mesh'],
  ['pinion', 'rollout'],
  ['spur', 'gear-mesh'],
  ['tires', 'ride-height'],
  ['tires', 'wheel-nuts'],
  ['springFront', 'ride-height'],
  ['oilRear', 'ride-height'],
  ['pack', 'weight'],
  ['ballast', 'weight'],
  ['body', 'weight'],
  ['rideHeightRear', 'droop'],
  ['rideHeightFront', 'camber-toe'],
  ['esc.turboDelay', 'power-cycle'],
])('a change of %s calls for %s', (parameter, ruleId) => {
  const rule = starterKit().view.followUpRules.get(ruleId)
  expect(rule?.triggers?.some((t) => triggerMatches(t, parameter))).toBe(true)
})

// Common practice, no source: the order of a calibration.
test('the calibration runs transmitter, end points, neutral, full throttle, full brake, reversal, read back', () => {
  const calibration = STARTER_CHECKLISTS.find((l) => l.id === 'calibration')
  const text = calibration?.items.map((i) => i.text).join('\n') ?? ''
  const places = [
    'Transmitter on first',
    '100/100',
    'Neutral',
    'Full throttle',
    'Full brake',
    'reverse',
    'Read back',
  ]
  const at = places.map((p) => text.indexOf(p))
  expect(at.every((i) => i >= 0)).toBe(true)
  expect(at).toEqual([...at].sort((a, b) => a - b))
  expect(starterKit().view.followUpRules.get('recalibrate')?.checklistId).toBe('calibration')
})

test.each([
  ['before-staging-pack', /swollen/],
  ['after-run-temperatures', /burn/],
  ['calibration-full-throttle', /Wheels/],
  ['inspection-rules', /event’s own rules/],
])('the caution stands at the act: %s', (itemId, caution) => {
  expect(starterKit().view.checklistItems.get(itemId)?.caution).toMatch(caution)
})

test('writing it again changes nothing, and what a team changed, emptied or removed stays so', () => {
  const board = testBoard()
  writeStarterKit(board.docs.kit)
  const m = board.as('manager')
  changeRecord(m, 'kit', 'checklistItems', 'calibration-neutral', { text: 'Neutral, as we do it' })
  changeRecord(m, 'kit', 'followUpRules', 'recalibrate', { caution: null })
  removeRecord(m, 'kit', 'ruleSheets', 'example-2wd')
  const before = Y.encodeStateAsUpdate(board.docs.kit)
  writeStarterKit(board.docs.kit)
  expect(Y.encodeStateAsUpdate(board.docs.kit)).toEqual(before)
  expect(board.view().checklistItems.get('calibration-neutral')?.text).toBe('Neutral, as we do it')
  expect(board.view().followUpRules.get('recalibrate')?.caution).toBeUndefined()
  expect(board.view().ruleSheets.live.map((s) => s.id)).toEqual(['example-4wd'])
})
