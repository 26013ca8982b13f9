import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { openPostgres } from '@/drizzle/postgres/client'
import { People } from '@/server/join/people'
import { PostgresStore } from '@/server/storage/postgres-store'
import { emptyBatch, type CommitBatch } from '@/server/storage/store'
import { syncDesk } from '../unit/sync/sync-desk'
import { hasPostgres, postgresForTests } from './postgres-under-test'

const postgres = postgresForTests()
let address: string
let stores: PostgresStore[]

const open = (onTaken?: (room: string) => void) => {
  const client = openPostgres(address)
  const store = new PostgresStore(client, `process ${stores.length}`, onTaken)
  stores.push(store)
  return { store, client }
}
/** The owner has not been heard of for longer than its lease. */
const leasesRunOut = () => postgres.server.ask(address, 'UPDATE owners SET lease_until = 0')
const rows = async (table: string) =>
  Number((await postgres.server.ask(address, `SELECT count(*) FROM ${table}`))[0]?.[0])

const batch = (n: number, more: Partial<CommitBatch> = {}): CommitBatch => ({
  ...emptyBatch(),
  updates: [{ room: 'kit', update: Uint8Array.of(n), at: n }],
  authors: [{ room: 'kit', clientId: n, personId: 'ann' }],
  audit: [
    {
      room: 'kit',
      at: n,
      personId: 'ann',
      deviceId: 'd',
      collection: 'packs',
      recordId: 'p1',
      field: 'label',
      before: null,
      after: n,
      outcome: 'accepted',
    },
  ],
  ...more,
})

describe.skipIf(!hasPostgres)('PostgreSQL: one owner judges', () => {
  beforeEach(async () => {
    address = await postgres.server.database()
    stores = []
  })
  afterEach(() => {
    for (const store of stores) store.close()
  })

  it('[P1] a room whose owner is there is not to be had', () => {
    const { store: first } = open()
    first.commit(batch(1))
    const { store: second } = open()
    expect(() => second.load('kit')).toThrow(/kit is served by process 0/)
    expect(() => second.commit(batch(2))).toThrow(/kit is served by process 0/)
    first.release('kit')
    // Giving up is not waited for; what is asked next on the same line comes after it.
    first.lastSeq()
    expect(second.load('kit').updates).toEqual([Uint8Array.of(1)])
  })

  it('[P1] an owner with an old epoch can write nothing: no update, no author, no line of history, no row alongside', async () => {
    const taken: string[] = []
    const { store: first, client } = open((room) => taken.push(room))
    first.load('kit')
    first.commit(batch(1))
    await leasesRunOut()
    const { store: second } = open()
    expect(second.load('kit').updates).toEqual([Uint8Array.of(1)])
    second.commit(batch(2))

    const people = new People(client, { now: () => 1 })
    const alongside = [() => people.put({ id: 'eve', name: 'Eve', role: 'manager' })]
    expect(() => first.commit(batch(3))).toThrow(/another board serves this database/)
    expect(() => first.commit(batch(3, { alongside }))).toThrow(/another board serves this database/)
    expect(() => first.compact('kit', Uint8Array.of(9), 1)).toThrow(/another board serves this database/)
    expect(taken).toEqual(['kit'])
    expect([await rows('updates'), await rows('authors'), await rows('audit')]).toEqual([2, 2, 2])
    expect([await rows('people'), await rows('snapshots')]).toEqual([0, 0])
    // It may read the room again once nobody else has it, and then goes on from what the other one left.
    expect(() => first.load('kit')).toThrow(/kit is served by process 1/)
    second.close()
    expect(first.load('kit').updates).toEqual([Uint8Array.of(1), Uint8Array.of(2)])
    first.commit(batch(3))
    expect(await rows('updates')).toBe(3)
  })

  it('[P1] a batch over several rooms is refused whole when one of them was taken over', async () => {
    const { store: first } = open()
    const both = (n: number) => ({
      ...batch(n),
      updates: ['kit', 'meeting-a'].map((room) => ({ room, update: Uint8Array.of(n), at: n })),
    })
    first.commit(both(1))
    await leasesRunOut()
    const { store: second } = open()
    second.load('meeting-a')
    expect(() => first.commit(both(2))).toThrow(/meeting-a/)
    expect(await rows('updates')).toBe(2)
    // The room that is still its own is not affected.
    first.commit(batch(3))
    expect(first.load('kit').updates).toEqual([Uint8Array.of(1), Uint8Array.of(3)])
  })

  it('[P1] a board that nobody looks at gives its meetings up and keeps the kit', () => {
    const { store: first } = open()
    const desk = syncDesk({ store: first, limits: { idleUnloadMs: 1_000 } })
    const phones = ['kit', 'meeting-m1'].map((room) => desk.phone('manager', 'ann', room))
    for (const [i, phone] of phones.entries()) phone.set('notes', `n${i}:text`, 'one')
    desk.land()
    for (const phone of phones) phone.disconnect()
    desk.timers.pass(600_000)
    expect(desk.server.stats().rooms).toBe(0)
    // What was given up without waiting is done before what is asked next on the same line.
    first.lastSeq()
    const { store: second } = open()
    expect(second.load('meeting-m1').updates.length + (second.load('meeting-m1').snapshot ? 1 : 0)).toBe(1)
    expect(() => second.load('kit')).toThrow(/kit is served by process 0/)
  })

  it('[P1] two that make the same room: one of them has it', async () => {
    const { store: first } = open()
    const { store: second } = open()
    expect(first.load('kit').updates).toEqual([])
    expect(second.load('kit').updates).toEqual([])
    first.commit(batch(1))
    expect(() => second.commit(batch(2))).toThrow(/another board serves this database/)
    expect(await rows('rooms')).toBe(1)
  })

  it('[P1] an owner that is paused inside a transaction loses it: the engine ends it, another owner takes over, and nothing of it is stored', async () => {
    const { store: first } = open()
    first.commit(batch(1))
    await leasesRunOut()
    const { store: second } = open()
    const tries: unknown[] = []
    const pausedHere = () => {
      // The row is locked by the fence of the transaction around this; the engine waits for its end, and ends it.
      for (let i = 0; i < 10; i++)
        try {
          second.load('kit')
          second.commit(batch(2))
          return
        } catch (e) {
          tries.push(e)
        }
    }
    expect(() => first.commit(batch(3, { alongside: [pausedHere] }))).toThrow(/does not answer/)
    expect(tries.length).toBeGreaterThan(0)
    await expect.poll(() => isUp(first), { timeout: 10_000 }).toBe(true)
    expect(() => first.commit(batch(4))).toThrow(/another board serves this database/)
    expect(second.load('kit').updates).toEqual([Uint8Array.of(1), Uint8Array.of(2)])
    expect([await rows('updates'), await rows('audit')]).toEqual([2, 2])
  })
})

function isUp(store: PostgresStore): boolean {
  try {
    store.check()
    return true
  } catch {
    return false
  }
}
