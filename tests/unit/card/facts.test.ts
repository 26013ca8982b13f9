import { expect, test } from 'vitest'
import { assignValue, changeRecord, signFollowUp, fitValue } from '@/lib/board'
import { factsOf, openFollowUps } from '@/lib/card'
import { must } from '../../support/must'
import { prepareRook, raceDay } from '../../support/race-day-board'

/** Rook's first run; what each fact misses, in words. */
function setUp() {
  const d = raceDay()
  must(changeRecord(d.m, 'kit', 'people', 'dana', { name: 'Dana' }))
  const facts = () => factsOf(d.view(), d.run(d.runs.rook1))
  const named = (name: string) => facts().find((f) => f.fact === name)
  return { ...d, facts, named }
}

test('the six facts come in the order of the work, and a bare car says what each of them misses', () => {
  const t = setUp()
  expect(t.facts().map((f) => [f.fact, f.state])).toEqual([
    ['assigned', 'no'],
    ['fitted', 'no'],
    ['powered', 'no'],
    ['shod', 'no'],
    ['checked', 'no'],
    ['accepted', 'no'],
  ])
  expect(t.named('assigned')?.missing).toEqual(['no pinion assigned', 'no spur assigned'])
  expect(t.named('checked')?.missing).toEqual(['Before staging: 1 of 1 open'])
  expect(t.named('accepted')?.missing).toEqual(['Dana has not accepted'])
})

test('pinion and spur must both be assigned; a fitted one alone is no assignment', () => {
  const t = setUp()
  must(assignValue(t.m, t.view(), { carId: t.rook, parameterId: 'pinion', value: 22 }))
  must(fitValue(t.as('mechanic', 'ilse'), t.view(), { carId: t.rook, parameterId: 'spur', value: 81 }))
  expect(t.named('assigned')).toEqual({ fact: 'assigned', state: 'no', missing: ['no spur assigned'] })
  must(assignValue(t.m, t.view(), { carId: t.rook, parameterId: 'spur', value: 81 }))
  expect(t.named('assigned')).toEqual({ fact: 'assigned', state: 'yes', missing: [] })
})

test('a ready car misses nothing; a change afterwards opens its check and turns the accept void', () => {
  const t = setUp()
  prepareRook(t)
  expect(t.facts().map((f) => [f.state, f.missing])).toEqual(Array(6).fill(['yes', []]))
  must(fitValue(t.as('mechanic', 'ilse'), t.view(), { carId: t.rook, parameterId: 'pinion', value: 23 }))
  expect(t.named('checked')).toEqual({ fact: 'checked', state: 'no', missing: ['Re-set the gear mesh'] })
  expect(t.named('accepted')).toEqual({
    fact: 'accepted',
    state: 'void',
    missing: ['changed since the accept'],
  })
  const [open] = openFollowUps(t.view(), t.rook)
  must(signFollowUp(t.as('mechanic', 'ilse'), { carId: t.rook, ruleId: t.mesh, covers: open?.covers ?? '' }))
  expect(t.named('checked')?.state).toBe('yes')
})

test('a car that nobody drives waits for “the driver”', () => {
  const t = setUp()
  const [accepted] = factsOf(t.view(), { ...t.run(t.runs.rook1), driverName: '' }).slice(-1)
  expect(accepted?.missing).toEqual(['the driver has not accepted'])
})
