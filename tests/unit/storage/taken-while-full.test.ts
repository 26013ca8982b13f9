import { expect, it } from 'vitest'
import { Actor, SimulatedTime } from '@/tests/sim/days/simulated-time'
import { SimulatedEngine, SimulatedPostgresLine } from '@/tests/sim/days/simulated-engine'
import { Ledger } from '@/tests/sim/days/ledger'
import { clientOf } from '@/drizzle/postgres/client'
import { PostgresStore } from '@/server/storage/postgres-store'
import { emptyBatch } from '@/server/storage/store'

it('[P1] a judge that comes back shows nothing that another one judges, also while the database’s disk is full', () => {
  const time = new SimulatedTime(1)
  const engine = new SimulatedEngine(time, new Ledger(() => undefined))
  const open = (name: string) => {
    const line = new SimulatedPostgresLine(engine, name, new Actor(time, name), () => undefined)
    const options = { leaseMs: 1_000, steady: () => time.now, isOneTurn: true }
    return { line, store: new PostgresStore(clientOf(line.asLine, name), name, () => undefined, options) }
  }
  const first = open('first')
  first.store.load('kit')
  const update = Uint8Array.of(0, 0)
  first.store.commit({ ...emptyBatch(), updates: [{ room: 'kit', update, at: time.now }] })
  first.line.isCut = true
  // It is awake all the while, so that by its own clock nothing speaks against it.
  for (let n = 0; n < 15; n++) {
    time.now += 100
    first.store.renew()
  }
  const second = open('second')
  second.store.load('kit')
  engine.mood = 'full'
  first.line.isCut = false
  expect(second.store.holds()).toBe(true)
  expect(first.store.holds()).toBe(false)
  engine.mood = 'well'
  expect(first.store.holds()).toBe(false)
})
