import { existsSync, readdirSync } from 'node:fs'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { DatabaseError } from '@/drizzle/database-error'
import { openPostgres, type PostgresClient } from '@/drizzle/postgres/client'
import { People } from '@/server/join/people'
import { PostgresStore } from '@/server/storage/postgres-store'
import { emptyBatch, type CommitBatch } from '@/server/storage/store'
import { PostgresCutter } from '../support/postgres-cutter'
import { hasPostgres, postgresForTests } from './postgres-under-test'

const postgres = postgresForTests()
let address: string
let cutter: PostgresCutter
let opened: { store: PostgresStore; client: PostgresClient; over: DatabaseError[]; taken: string[] }[]

const open = () => {
  const over: DatabaseError[] = []
  const taken: string[] = []
  const client = openPostgres(cutter.address, { times: { findOut: 300 }, onOver: (e) => void over.push(e) })
  const store = new PostgresStore(client, `process ${opened.length}`, (room) => taken.push(room))
  const all = { store, client, over, taken }
  opened.push(all)
  return all
}
const batch = (n: number, room = 'kit'): CommitBatch => ({
  ...emptyBatch(),
  updates: [{ room, update: Uint8Array.of(n), at: n }],
})
const list = (...n: number[]) => n.map((i) => Uint8Array.of(i))
const ask = async (sql: string) => (await postgres.server.ask(address, sql)).map((r) => Number(r[0]))
const put = (client: PostgresClient, id: string) =>
  client.transact(() => new People(client, { now: () => 1 }).put({ id, name: id, role: 'driver' }))
const leasesRunOut = () => postgres.server.ask(address, 'UPDATE owners SET lease_until = 0')
const isUp = ({ client }: { client: PostgresClient }, is: boolean) =>
  expect.poll(() => client.line.isUp, { timeout: 20_000 }).toBe(is)
/** Every connection of the board ends, and it makes another. */
async function cutOff(): Promise<void> {
  cutter.set('away')
  await postgres.server.ask(
    address,
    'SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()',
  )
  for (const { client } of opened) await expect.poll(() => client.line.isUp).toBe(false)
  cutter.set('pass')
}

describe.skipIf(!hasPostgres)('PostgreSQL: whoever judged on what is no longer so writes nothing', () => {
  beforeEach(async () => {
    address = await postgres.server.database()
    cutter = await PostgresCutter.before(address)
    opened = []
  })
  afterEach(async () => {
    for (const { store } of opened) store.close()
    await cutter.dispose()
  })

  it('[P1] who loaded a room while nothing was stored of it writes nothing to what another one stored since', async () => {
    const first = open()
    expect(first.store.load('meeting-m1').updates).toEqual([])
    const second = open()
    second.store.load('meeting-m1')
    second.store.commit(batch(1, 'meeting-m1'))
    second.store.commit(batch(2, 'meeting-m1'))
    second.store.release('meeting-m1')
    second.store.lastSeq()
    expect(() => first.store.commit(batch(9, 'meeting-m1'))).toThrow(/another board serves this database/)
    expect(() => first.store.compact('meeting-m1', Uint8Array.of(9), 1)).toThrow(/another board/)
    expect(first.taken).toEqual(['meeting-m1'])
    expect(await ask('SELECT at FROM updates ORDER BY seq')).toEqual([1, 2])
  })

  it('[P1] nobody folds away what they were never shown', () => {
    const { store } = open()
    store.commit(batch(1))
    store.commit(batch(2))
    store.release('kit')
    // Without being read again.
    store.commit(batch(3))
    expect(() => store.compact('kit', Uint8Array.of(9), 1)).toThrow(/was not loaded/)
    expect(store.load('kit').updates).toEqual(list(1, 2, 3))
    store.compact('kit', Uint8Array.of(9), 3)
  })

  it('[P1] who lost the kit finds out by renewing, and writes nothing to other rooms and tables', async () => {
    const first = open()
    first.store.commit(batch(1))
    first.store.commit(batch(1, 'meeting-m1'))
    await leasesRunOut()
    const second = open()
    second.store.load('kit')
    expect(() => first.store.commit(batch(2, 'meeting-m1'))).toThrow(/another board serves this database/)
    expect(first.taken).toEqual(['kit'])
    expect(() => put(first.client, 'eve')).toThrow(/another board serves this database/)
    expect(await ask('SELECT at FROM updates ORDER BY seq')).toEqual([1, 1])
    expect(await ask('SELECT count(*) FROM people')).toEqual([0])
  })

  it('[P1] a person is put under the kit’s epoch too', async () => {
    const first = open()
    first.store.commit(batch(1))
    put(first.client, 'ann')
    await leasesRunOut()
    open().store.load('kit')
    expect(() => put(first.client, 'eve')).toThrow(/another board serves this database/)
    expect(first.taken).toEqual(['kit'])
    expect(await ask('SELECT count(*) FROM people')).toEqual([1])
  })

  it('[P1] renewing tells who has lost a room, without a write', async () => {
    const first = open()
    first.store.commit(batch(1))
    first.store.commit(batch(1, 'meeting-m1'))
    const held = () => ask('SELECT count(*) FROM owners WHERE lease_until > 0')
    await leasesRunOut()
    first.store.renew()
    await expect.poll(held).toEqual([2])
    await leasesRunOut()
    const second = open()
    second.store.load('kit')
    expect(first.taken).toEqual([])
    first.store.renew()
    await expect.poll(() => first.taken).toEqual(['kit'])
    second.store.renew()
    await expect.poll(held).toEqual([2])
    expect(second.taken).toEqual([])
  })

  it('[P1] a room that was given up stays given up', async () => {
    const { store } = open()
    store.commit(batch(1))
    store.commit(batch(1, 'meeting-m1'))
    store.release('meeting-m1')
    store.renew()
    await expect
      .poll(() => ask('SELECT count(*) FROM owners WHERE lease_until > 0'), { timeout: 5_000 })
      .toEqual([1])
    store.lastSeq()
    expect(await ask('SELECT count(*) FROM owners WHERE lease_until = 0')).toEqual([1])
  })

  it('[P1] a database that went back to an older state under a running board takes no more of its writes', async () => {
    const { store, client, over } = open()
    store.commit(batch(1))
    store.commit(batch(2))
    await ask('DELETE FROM updates WHERE at = 2')
    await ask('UPDATE writers SET head = head - 1')
    await cutOff()
    await expect.poll(() => over.map((e) => e.trouble), { timeout: 10_000 }).toEqual(['went-back'])
    expect(over[0]?.message).toContain('phones bring back')
    expect(client.line.isUp).toBe(false)
    expect(() => store.commit(batch(3))).toThrow(/does not answer/)
    expect(await ask('SELECT at FROM updates')).toEqual([1])
  })

  it('[P1] so does one that went back without a word', async () => {
    const { store, over } = open()
    store.commit(batch(1))
    await ask('UPDATE writers SET head = head - 1')
    expect(() => store.commit(batch(2))).toThrow(/phones bring back/)
    await expect.poll(() => over.map((e) => e.trouble)).toEqual(['went-back'])
    expect(await ask('SELECT at FROM updates')).toEqual([1])
  })

  it('[S7] a board that wrote nothing for weeks is still among the writers', async () => {
    const quiet = open()
    quiet.store.commit(batch(1))
    await ask('UPDATE writers SET at = at - 8::bigint * 86400000')
    quiet.store.renew()
    await expect
      .poll(() => ask('SELECT count(*) FROM writers WHERE at > (extract(epoch from now()) - 60) * 1000'))
      .toEqual([1])
    // As an admin command does.
    openPostgres(address).close()
    await cutOff()
    await isUp(quiet, true)
    quiet.store.commit(batch(2))
    expect(quiet.over).toEqual([])
  })

  it('[S7] one that is no longer among them ends, in words', async () => {
    const { store, over } = open()
    store.commit(batch(1))
    await ask('DELETE FROM writers')
    await cutOff()
    await expect.poll(() => over.map((e) => e.trouble), { timeout: 10_000 }).toEqual(['went-back'])
  })

  it('[S7] a slow database is waited for, and is no end', async () => {
    const { client, over } = open()
    for (let i = 0; i < 2; i++) client.line.aside('SELECT pg_sleep(1.7)', [])
    put(client, 'ann')
    put(client, 'bea')
    expect(await ask('SELECT count(*) FROM people')).toEqual([2])
    expect(over).toEqual([])
  })

  it('[S7] a thread that died ends its process, in words', async () => {
    const { store, over } = open()
    store.commit(batch(1))
    cutter.set('garbage')
    expect(() => store.commit(batch(2))).toThrow(/start the board again/)
    await expect.poll(() => over.map((e) => e.trouble)).toEqual(['stuck'])
    expect(() => store.commit(batch(3))).toThrow(/does not answer/)
  }, 20_000)

  it('[S7] a first statement that is refused leaves nothing open', async () => {
    const { client } = open()
    put(client, 'ann')
    await ask('ALTER TABLE writers ADD CONSTRAINT full_disk CHECK (head < 0) NOT VALID')
    expect(() => put(client, 'bea')).toThrow(/refused/)
    expect(new People(client, { now: () => 1 }).all().map((p) => p.id)).toEqual(['ann'])
    await ask('ALTER TABLE writers DROP CONSTRAINT full_disk')
    put(client, 'bea')
  })

  it('[S27] what is read for an archive is of one moment, or fails', async () => {
    const { store, client } = open()
    store.commit(batch(1))
    const reader = openPostgres(cutter.address, { readonly: true })
    try {
      const count = () => Number(reader.line.query('SELECT count(*) FROM updates').rows[0]?.[0])
      const thaw = reader.freeze()
      expect(count()).toBe(1)
      store.commit(batch(2))
      expect(count()).toBe(1)
      cutter.set('pass')
      await postgres.server.ask(
        address,
        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE application_name = 'stagecall reader'",
      )
      await expect.poll(() => reader.line.isUp).toBe(false)
      await expect.poll(() => reader.line.isUp, { timeout: 10_000 }).toBe(true)
      expect(count).toThrow(/does not answer/)
      // The connection that there is now is none the worse for it.
      expect(reader.line.isUp).toBe(true)
      thaw()
      expect(count()).toBe(2)
      expect(client.line.isUp).toBe(true)
    } finally {
      reader.close()
    }
  })

  it('[S7] a first write whose answer was lost is found before its room is read again', async () => {
    const first = open()
    first.store.load('kit')
    cutter.set('afterCommit', 'away')
    expect(() => first.store.commit(batch(1))).toThrow(/looked up/)
    cutter.set('pass')
    await isUp(first, true)
    expect(first.store.load('kit').updates).toEqual(list(1))
    expect(first.store.takeFound()).toEqual(['kit'])
    expect(first.store.load('kit').updates).toEqual(list(1))
    first.store.commit(batch(2))
    expect(first.taken).toEqual([])
    expect(first.store.load('kit').updates).toEqual(list(1, 2))
  })

  it('[S7] the last word of an engine that breaks down is no refusal', async () => {
    const { store } = open()
    store.commit(batch(1))
    cutter.set('breakdown')
    // Found out at once, as the engine can be asked again.
    store.commit(batch(2))
    expect(store.load('kit').updates).toEqual(list(1, 2))
    store.commit(batch(3))
    expect(await ask('SELECT at FROM updates ORDER BY seq')).toEqual([1, 2, 3])
  })

  // Elsewhere nobody counts a process's threads.
  it.skipIf(!existsSync('/proc/self/task'))(
    'a database that is not there is refused in words, and leaves no thread behind',
    async () => {
      const threads = () => readdirSync('/proc/self/task').length
      const before = threads()
      for (let i = 0; i < 5; i++)
        expect(() => openPostgres('postgres://nobody@localhost/none?host=/nowhere')).toThrow(
          /does not answer; .* then try again/,
        )
      await expect.poll(threads, { timeout: 10_000 }).toBeLessThan(before + 3)
    },
    20_000,
  )

  it('a database that takes no writes is named in its own terms', () => {
    const { client } = open()
    client.line.query("SELECT set_config('default_transaction_read_only', 'on', false)")
    expect(() => put(client, 'ann')).toThrow(/look at its role, and at default_transaction_read_only/)
    client.line.query("SELECT set_config('default_transaction_read_only', 'off', false)")
    put(client, 'ann')
  })

  it('the limits are the board’s, whatever the address says', () => {
    const client = openPostgres(`${cutter.address}&statement_timeout=0&lock_timeout=0`)
    try {
      const is = (name: string) => client.line.query(`SHOW ${name}`).rows[0]?.[0]
      expect([is('statement_timeout'), is('lock_timeout')]).toEqual(['2s', '1s'])
    } finally {
      client.close()
    }
  })
})
