import { expect, test } from 'vitest'
import { addRecord } from '@/lib/board'
import { firstSteps } from '@/app/first-steps/first-steps-of'
import { testBoard } from '../../support/board'
import { must } from '../../support/must'

test('the first steps name what is missing, in the order in which each helps the next, and then nothing', () => {
  const b = testBoard()
  const m = b.as('manager')
  const next = (heats: number | null, others: number | null) => {
    const step = firstSteps(b.view(), { heats, others }).find((s) => !s.isDone)
    return step && `${step.act} at ${step.href}: ${step.state}`
  }
  must(addRecord(m, 'kit', 'people', { name: 'Petra' }))
  expect(next(null, null)).toBe('Add people at /kit/people: only you so far: who drives, who wrenches?')
  const dana = must(addRecord(m, 'kit', 'people', { name: 'Dana' }))
  expect(next(null, null)).toBe(
    'Add motors at /kit/motors: none yet; add the motors and speed controls first',
  )
  const motorId = must(addRecord(m, 'kit', 'motors', { name: 'M1' }))
  expect(next(null, null)).toMatch(/^Add speed controls at \/kit\/controllers/)
  const controllerId = must(addRecord(m, 'kit', 'controllers', { name: 'Box' }))
  const car = must(addRecord(m, 'kit', 'cars', { name: 'Ibis', driverId: dana, motorId }))
  expect(next(null, null)).toBe(
    'Complete the cars at /kit/cars: 1 car, 1 without a driver, a motor or a speed control',
  )
  must(addRecord(m, 'kit', 'cars', { name: 'Teal', driverId: dana, motorId, controllerId }))
  must(addRecord(m, 'kit', 'packs', { label: 'P1' }))
  expect(next(null, null)).toMatch(/^Complete the cars/)
  const cars = firstSteps(b.view(), { heats: null, others: 0 })
  expect(cars.find((s) => s.id === 'packs')?.state).toBe('1 pack, no charger: no charge plan')
  must(addRecord(m, 'kit', 'chargers', { label: 'Bench' }))
  b.docs.kit.getMap('cars').set(`${car}:controllerId`, controllerId)
  expect(next(null, 0)).toBe('New meeting at /board/new: none yet: name, day, track, classes')
  const meeting = must(addRecord(m, 'kit', 'meetings', { name: 'Trial' }))
  expect(next(0, 0)).toBe(
    `Import it at /board/${meeting}/setup/import: not in yet: paste the organizer’s list, or drop the file`,
  )
  expect(next(60, 0)).toMatch(/^Invite at \/crew/)
  expect(next(60, 1)).toBeUndefined()
  // Who has had more than one meeting knows the way.
  must(addRecord(m, 'kit', 'meetings', { name: 'Second' }))
  expect(next(null, 1)).toBeUndefined()
})
