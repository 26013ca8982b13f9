import { expect, it } from 'vitest'
import { Tenure } from '@/server/storage/tenure'

function tenure() {
  const clock = { at: 1_000 }
  return { clock, is: new Tenure(() => clock.at, 1_000) }
}

it('[P1] a lease counts from before it was asked for, and runs out', () => {
  const { clock, is } = tenure()
  expect(is.isSure).toBe(false)
  const asked = clock.at
  clock.at += 300
  is.renewed(asked)
  clock.at = asked + 999
  expect(is.isSure).toBe(true)
  clock.at = asked + 1_000
  expect(is.isSure).toBe(false)
})

it('[P1] an older answer takes nothing away, and what is over stays over', () => {
  const { clock, is } = tenure()
  is.renewed(clock.at)
  is.renewed(clock.at - 500)
  clock.at += 900
  expect(is.isSure).toBe(true)
  is.end()
  is.renewed(clock.at)
  expect([is.isSure, is.isOver]).toEqual([false, true])
})

it('[P1] whoever was away for longer than a lease knows it until it was confirmed, however often it ticks', () => {
  const { clock, is } = tenure()
  for (let n = 0; n < 10; n++) {
    clock.at += 200
    is.tick()
  }
  expect(is.wasAway).toBe(false)
  clock.at += 1_001
  is.tick()
  is.tick()
  expect(is.wasAway).toBe(true)
  is.confirmed(clock.at)
  expect([is.wasAway, is.isSure]).toEqual([false, true])
})
