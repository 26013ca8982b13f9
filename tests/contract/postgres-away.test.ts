import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { openPostgres, type PostgresClient } from '@/drizzle/postgres/client'
import { People } from '@/server/join/people'
import { PostgresStore } from '@/server/storage/postgres-store'
import { emptyBatch, type CommitBatch } from '@/server/storage/store'
import { PostgresCutter } from '../support/postgres-cutter'
import { storedBoard, syncDesk } from '../unit/sync/sync-desk'
import { hasPostgres, postgresForTests } from './postgres-under-test'

const postgres = postgresForTests()
let address: string
let cutter: PostgresCutter
let client: PostgresClient
let store: PostgresStore

const batch = (n: number): CommitBatch => ({
  ...emptyBatch(),
  updates: [{ room: 'kit', update: Uint8Array.of(n), at: n }],
})
const list = (...n: number[]) => n.map((i) => Uint8Array.of(i))
const storedRows = async () =>
  Number((await postgres.server.ask(address, 'SELECT count(*) FROM updates'))[0]?.[0])
/** The line stands again and says what became of what. */
const back = () => expect.poll(() => client.line.isUp, { timeout: 20_000 }).toBe(true)

describe.skipIf(!hasPostgres)('PostgreSQL: the database goes away', () => {
  beforeEach(async () => {
    address = await postgres.server.database()
    cutter = await PostgresCutter.before(address)
    // Short enough that a commit's word is not waited for while there is no line.
    client = openPostgres(cutter.address, { times: { findOut: 300 } })
    store = new PostgresStore(client, 'a test')
  })
  afterEach(async () => {
    store.close()
    await cutter.dispose()
  })

  it('[S7] a commit that does not reach it is not stored, and that is known', async () => {
    store.commit(batch(1))
    cutter.set('beforeCommit')
    expect(() => store.commit(batch(2))).toThrow(/does not answer/)
    await back()
    expect(store.takeFound()).toEqual([])
    store.check()
    expect(store.load('kit').updates).toEqual(list(1))
    store.commit(batch(3))
    expect(store.load('kit').updates).toEqual(list(1, 3))
    expect(await storedRows()).toBe(2)
  })

  it('[S7] a commit whose answer is lost is found to have taken place', async () => {
    store.commit(batch(1))
    cutter.set('afterCommit')
    store.commit(batch(2))
    expect(store.load('kit').updates).toEqual(list(1, 2))
    expect(await storedRows()).toBe(2)
  })

  it.each([
    ['afterCommit', list(1, 2), ['kit']],
    ['beforeCommit', list(1), []],
  ] as const)(
    '[S7] while nobody can say whether a commit took place, nothing is said of it (%s)',
    async (cut, stored, found) => {
      store.commit(batch(1))
      cutter.set(cut, 'away')
      expect(() => store.commit(batch(2))).toThrow(/looked up when it is back/)
      expect(() => store.check()).toThrow(/does not answer/)
      // What is known to be stored can still be read, and nothing can be written.
      expect(store.load('kit').updates).toEqual(list(1))
      expect(() => store.commit(batch(3))).toThrow(/does not answer/)
      expect(() => store.compact('kit', Uint8Array.of(9), 1)).toThrow(/does not answer/)
      cutter.set('pass')
      await back()
      // Not before the room is read again.
      expect(() => store.commit(batch(3))).toThrow(/does not answer/)
      expect(store.takeFound()).toEqual(found)
      expect(store.takeFound()).toEqual([])
      expect(store.load('kit').updates).toEqual(stored)
      expect(await storedRows()).toBe(stored.length)
      store.commit(batch(3))
      expect(store.load('kit').updates).toEqual([...stored, ...list(3)])
    },
  )

  it('[S7] a commit that hangs in the engine is waited for by whoever asks what became of it', async () => {
    store.close()
    // The engine would else end the transaction, having waited for its end in vain.
    client = openPostgres(cutter.address, { times: { findOut: 300, idle: 600_000 } })
    store = new PostgresStore(client, 'a test')
    store.commit(batch(1))
    const backend = Number(client.line.query('SELECT pg_backend_pid()').rows[0]?.[0])
    const hang = () => void process.kill(backend, 'SIGSTOP')
    expect(() => store.commit({ ...batch(2), alongside: [hang] })).toThrow(/looked up when it is back/)
    // Its transaction is open still, so that nothing is known, and nothing can be written.
    expect(client.line.isUp).toBe(false)
    expect(() => store.commit(batch(3))).toThrow(/does not answer/)
    expect(await storedRows()).toBe(1)
    process.kill(backend, 'SIGCONT')
    await back()
    // The engine had the commit already, and has carried it out.
    expect(store.takeFound()).toEqual(['kit'])
    expect(store.load('kit').updates).toEqual(list(1, 2))
    expect(await storedRows()).toBe(2)
    store.commit(batch(3))
  })

  it('a compaction whose answer is lost is found out too', async () => {
    store.commit(batch(1))
    store.commit(batch(2))
    cutter.set('afterCommit', 'away')
    expect(() => store.compact('kit', Uint8Array.of(40), 1)).toThrow(/looked up/)
    cutter.set('pass')
    await back()
    expect(store.takeFound()).toEqual(['kit'])
    expect(store.load('kit')).toMatchObject({ snapshot: Uint8Array.of(40), updates: list(2) })
    expect(store.pendingUpdates('kit')).toBe(1)
  })

  it('rows of other tables are written whole or not at all, and are never called stored without knowing', async () => {
    const people = new People(client, { now: () => 1 })
    const put = (id: string) => client.transact(() => people.put({ id, name: id, role: 'driver' }))
    put('ann')
    cutter.set('afterCommit')
    put('bea')
    cutter.set('beforeCommit')
    expect(() => put('cyd')).toThrow(/does not answer/)
    await back()
    cutter.set('afterCommit', 'away')
    expect(() => put('dan')).toThrow(/looked up when it is back/)
    cutter.set('pass')
    await back()
    expect(people.all().map((p) => p.id)).toEqual(['ann', 'bea', 'dan'])
  })

  it.each([
    ['beforeCommit', list(1), []],
    ['afterCommit', list(1, 2), ['kit']],
  ] as const)(
    '[P4] what is asked behind a commit waits until it is known what became of that (%s)',
    async (cut, stored, found) => {
      store.commit(batch(1))
      const people = new People(client, { now: () => 1 })
      // The next line stands soon, but is not yet told how far the database is when the commit is given up.
      cutter.set(cut, 'slow')
      const underWay = store.begin(batch(2))
      expect(() => client.transact(() => people.put({ id: 'ann', name: 'Ann', role: 'driver' }))).toThrow(
        /does not answer/,
      )
      expect(() => underWay?.land()).toThrow(/looked up when it is back/)
      await back()
      cutter.set('pass')
      expect(store.takeFound()).toEqual(found)
      expect(store.load('kit').updates).toEqual(stored)
      expect(await storedRows()).toBe(stored.length)
      expect(people.all()).toEqual([])
      store.commit(batch(3))
      expect(store.load('kit').updates).toEqual([...stored, ...list(3)])
    },
  )

  it('[S7] an outcome is kept for the write that asks for it, whatever is written first', async () => {
    store.commit(batch(1))
    cutter.set('afterCommit', 'away')
    expect(() => store.commit(batch(2))).toThrow(/looked up/)
    cutter.set('pass')
    await back()
    client.transact(() => new People(client, { now: () => 1 }).put({ id: 'a', name: 'A', role: 'driver' }))
    expect(store.takeFound()).toEqual(['kit'])
    expect(store.load('kit').updates).toEqual(list(1, 2))
  })

  it('[S7] the board turns read-only with the reason, can be read meanwhile, and recovers by itself', async () => {
    const desk = syncDesk({ store })
    const a = desk.phone('manager', 'ann')
    const b = desk.phone('mechanic', 'bea')
    a.set('notes', 'n1:text', 'one')
    a.barrier()
    desk.land()
    expect(a.acked).toBe(1)
    await postgres.server.stop()
    a.set('notes', 'n1:text', 'two')
    a.barrier()
    desk.land()
    expect(a.acked).toBe(1)
    expect(b.get('notes', 'n1:text')).toBe('one')
    expect(b.roomStates.at(-1)).toMatchObject({
      state: 'read-only',
      reason: expect.stringContaining('the database does not answer') as string,
    })
    expect([a.closedWith, b.closedWith]).toEqual([null, null])
    // Whoever comes now is shown what is stored.
    expect(desk.phone('guest').board()).toEqual({ notes: { 'n1:text': 'one' } })
    desk.timers.pass(10_000)
    expect(desk.server.stats().readOnly).toContain('does not answer')
    await postgres.server.restart()
    await back()
    desk.timers.pass(10_000)
    expect(desk.server.stats().readOnly).toBeNull()
    desk.land()
    expect(a.acked).toBe(2)
    expect(b.board()).toEqual({ notes: { 'n1:text': 'two' } })
    expect(storedBoard(store)).toEqual({ notes: { 'n1:text': 'two' } })
  })

  it.each(['afterCommit', 'beforeCommit'] as const)(
    '[S7] a turn whose outcome nobody knows is shown to nobody, and to everybody once it is known (%s)',
    async (cut) => {
      const desk = syncDesk({ store })
      const a = desk.phone('manager', 'ann')
      const b = desk.phone('mechanic', 'bea')
      a.set('notes', 'n1:text', 'one')
      a.barrier()
      desk.land()
      cutter.set(cut, 'away')
      a.set('notes', 'n1:text', 'two')
      a.barrier()
      desk.land()
      expect([a.acked, b.get('notes', 'n1:text')]).toEqual([1, 'one'])
      cutter.set('pass')
      await back()
      // b hears of it from the server, not from a: a is gone by now.
      if (cut === 'afterCommit') a.disconnect()
      desk.timers.pass(10_000)
      desk.land()
      expect(b.get('notes', 'n1:text')).toBe('two')
      expect(storedBoard(store)).toEqual({ notes: { 'n1:text': 'two' } })
      if (cut === 'afterCommit') {
        a.connect()
        a.barrier()
      }
      desk.timers.pass(1_000)
      desk.land()
      expect(a.acked).toBe(cut === 'afterCommit' ? 3 : 2)
      expect(desk.history().map((e) => e.after)).toEqual(['one', 'two'])
    },
  )
})
