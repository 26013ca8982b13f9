import { expect, test } from 'vitest'
import {
  addRecord,
  answerProposal,
  BoardReading,
  changeController,
  changeMotor,
  proposeValue,
  putPackIn,
  putTiresOn,
  refuseValue,
  assignValue,
} from '@/lib/board'
import { testBoard } from '../../support/board'
import { must } from '../../support/must'

function withRuns() {
  const b = testBoard()
  const m = b.as('manager')
  const motors = ['A', 'B'].map((name) => must(addRecord(m, 'kit', 'motors', { name }))) as [string, string]
  const controllers = ['Withy', 'Sluice'].map((name) =>
    must(addRecord(m, 'kit', 'controllers', { name })),
  ) as [string, string]
  const car = must(addRecord(m, 'kit', 'cars', { name: 'Rook', driverId: 'dana' }))
  const other = must(addRecord(m, 'kit', 'cars', { name: 'Wren', driverId: 'eli' }))
  const rule = (trigger: string) =>
    must(addRecord(m, 'kit', 'followUpRules', { name: `After ${trigger}`, triggers: [trigger] }))
  const rules = {
    motor: rule('motor'),
    controller: rule('controller'),
    tires: rule('tires'),
    pack: rule('pack'),
  }
  const heat = must(addRecord(m, 'meeting', 'heats', { number: 1 }))
  const runs = [0, 1].map(() =>
    must(addRecord(m, 'meeting', 'entries', { heatId: heat, carId: car, driverName: 'Dana' })),
  ) as [string, string]
  const pack = (label: string, capacityMah: number) =>
    must(addRecord(m, 'kit', 'packs', { label, cells: 2, capacityMah, weightG: 210 }))
  const packs = { a: pack('P01', 6000), alike: pack('P02', 6000), small: pack('P03', 5200) }
  const set = (label: string, axle: 'set' | 'front' | 'rear') =>
    must(addRecord(m, 'kit', 'tireSets', { label, axle }))
  const tires = {
    one: set('T01', 'set'),
    two: set('T02', 'set'),
    front: set('F1', 'front'),
    rear: set('R1', 'rear'),
  }
  const opened = (ruleId: string) => b.view().followUps.get(`${car}.${ruleId}`)?.opened?.v ?? null
  return { ...b, m, motors, controllers, car, other, rules, runs, packs, tires, opened }
}

test('the first motor of a car opens nothing, another one opens its follow-ups and says what changed', () => {
  const b = withRuns()
  must(changeMotor(b.m, b.view(), { carId: b.car, motorId: b.motors[0] }))
  expect(b.opened(b.rules.motor)).toBeNull()
  must(changeMotor(b.as('mechanic', 'ilse'), b.view(), { carId: b.car, motorId: b.motors[1] }))
  expect(b.opened(b.rules.motor)).toBe('Motor A → B')
  expect(b.view().cars.get(b.car)?.motorId).toBe(b.motors[1])
})

test('a motor that is in another car is refused, and so is one that the kit does not hold', () => {
  const b = withRuns()
  must(changeMotor(b.m, b.view(), { carId: b.other, motorId: b.motors[0] }))
  const taken = changeMotor(b.m, b.view(), { carId: b.car, motorId: b.motors[0] })
  expect(taken).toMatchObject({
    ok: false,
    error: { field: 'Motor', value: 'A', reason: 'is in Wren on the board' },
  })
  expect(changeMotor(b.m, b.view(), { carId: b.car, motorId: 'nowhere' }).ok).toBe(false)
  expect(changeMotor(b.as('driver', 'dana'), b.view(), { carId: b.car, motorId: b.motors[1] }).ok).toBe(false)
  expect(b.view().cars.get(b.car)?.motorId).toBeUndefined()
})

test('another speed control opens its follow-ups', () => {
  const b = withRuns()
  must(changeController(b.m, b.view(), { carId: b.car, controllerId: b.controllers[0] }))
  must(changeController(b.m, b.view(), { carId: b.car, controllerId: b.controllers[1] }))
  expect(b.opened(b.rules.controller)).toBe('Speed control Withy → Sluice')
})

test('without an open meeting a motor change is the kit’s alone', () => {
  const b = withRuns()
  must(changeMotor(b.m, b.view(), { carId: b.car, motorId: b.motors[0] }))
  const kitOnly = { kit: b.docs.kit, meeting: null }
  const reading = new BoardReading(kitOnly)
  must(changeMotor({ ...b.m, docs: kitOnly }, reading.view(), { carId: b.car, motorId: b.motors[1] }))
  expect(reading.view().cars.get(b.car)?.motorId).toBe(b.motors[1])
  expect(b.opened(b.rules.motor)).toBeNull()
  reading.close()
})

test('a pack of another type opens its follow-ups, another pack alike does not', () => {
  const b = withRuns()
  must(putPackIn(b.m, b.view(), { runId: b.runs[0], packId: b.packs.a }))
  must(putPackIn(b.m, b.view(), { runId: b.runs[1], packId: b.packs.alike }))
  expect(b.opened(b.rules.pack)).toBeNull()
  must(putPackIn(b.m, b.view(), { runId: b.runs[1], packId: b.packs.small }))
  expect(b.opened(b.rules.pack)).toBe('Pack P02 → P03')
})

test('another tire set opens its follow-ups, and the set that it replaces is off the car', () => {
  const b = withRuns()
  must(putTiresOn(b.m, b.view(), { runId: b.runs[0], tireSetId: b.tires.one }))
  must(putTiresOn(b.m, b.view(), { runId: b.runs[1], tireSetId: b.tires.one }))
  expect(b.opened(b.rules.tires)).toBeNull()
  must(putTiresOn(b.m, b.view(), { runId: b.runs[1], tireSetId: b.tires.two }))
  expect(b.opened(b.rules.tires)).toBe('Tires T01 → T02')
  expect(b.view().tireSets.get(b.tires.one)).toMatchObject({ state: { v: 'used' } })
  expect(b.view().tireSets.get(b.tires.one)?.onCarId).toBeUndefined()
})

test('a rear set leaves the front set on', () => {
  const b = withRuns()
  must(putTiresOn(b.m, b.view(), { runId: b.runs[0], tireSetId: b.tires.front }))
  must(putTiresOn(b.m, b.view(), { runId: b.runs[0], tireSetId: b.tires.rear }))
  expect(b.view().tireSets.get(b.tires.front)?.onCarId).toBe(b.car)
  expect(b.opened(b.rules.tires)).toBeNull()
})

test('a taken proposal is what the card asks for, with its reason; a second answer is refused', () => {
  const b = withRuns()
  must(assignValue(b.m, b.view(), { carId: b.car, parameterId: 'pinion', value: 22 }))
  must(refuseValue(b.m, b.view(), { carId: b.car, parameterId: 'pinion', why: 'no 22 left' }))
  const proposalId = must(
    proposeValue(b.as('mechanic', 'ilse'), {
      carId: b.car,
      parameterId: 'pinion',
      value: 23,
      why: 'short of revs',
    }),
  )
  expect(answerProposal(b.as('driver', 'eli'), b.view(), { proposalId, outcome: 'taken' }).ok).toBe(false)
  must(answerProposal(b.m, b.view(), { proposalId, outcome: 'taken' }))
  const value = b.view().cardValues.get(`${b.car}.pinion`)
  expect(value?.assigned).toMatchObject({ v: 23, by: 'manager', why: 'short of revs' })
  expect(value?.cannot?.v).toBeNull()
  expect(answerProposal(b.m, b.view(), { proposalId, outcome: 'left' })).toMatchObject({
    ok: false,
    error: { reason: 'was taken already' },
  })
})

test('a driver takes a proposal for the car they drive, and only that one', () => {
  const b = withRuns()
  const proposalId = must(proposeValue(b.m, { carId: b.car, parameterId: 'spur', value: 80, why: 'longer' }))
  must(answerProposal(b.as('driver', 'dana'), b.view(), { proposalId, outcome: 'taken' }))
  expect(b.view().cardValues.get(`${b.car}.spur`)?.assigned?.v).toBe(80)
})

test('values that do not fit the card any more are refused', () => {
  const b = withRuns()
  const proposalId = must(
    proposeValue(b.m, { carId: b.car, parameterId: 'pinion', value: 0, why: 'typed wrongly' }),
  )
  expect(answerProposal(b.m, b.view(), { proposalId, outcome: 'taken' })).toMatchObject({
    ok: false,
    error: { field: 'Pinion' },
  })
  expect(b.view().proposals.get(proposalId)?.outcome).toBeUndefined()
})
