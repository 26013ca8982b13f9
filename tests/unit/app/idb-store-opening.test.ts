import type { IDBFactory } from 'fake-indexeddb'
import { openDB } from 'idb'
import { describe, expect, it, vi } from 'vitest'
import { deviceStores, update } from './device-stores'
import { pass, turns, whileTimersStand } from './while-timers-stand'

const { store, opened } = deviceStores()
const databases = async () => (await indexedDB.databases()).map((d) => `${d.name} ${d.version}`)

describe('[S16] the device’s store opens', () => {
  it('under the board’s name, or another one that is asked for', async () => {
    const a = store()
    expect(a.signal).toEqual({ state: 'opening' })
    const said: unknown[] = []
    a.onSignal(() => said.push(a.signal))
    await a.settled()
    expect(new Set(said.map((s) => JSON.stringify(s)))).toEqual(new Set(['{"state":"stored"}']))
    expect(await databases()).toEqual(['stagecall 2'])
    await store({ name: 'other' }).settled()
    expect(await databases()).toEqual(['stagecall 2', 'other 2'])
  })

  it('with what its first version held, and a place for clientIDs', async () => {
    const first = await openDB('stagecall', 1, {
      upgrade(db) {
        db.createObjectStore('updates', { keyPath: 'id', autoIncrement: true }).createIndex('room', 'room')
        db.createObjectStore('pending', { keyPath: ['room', 'key'] })
        db.createObjectStore('drafts', { keyPath: 'id' })
        db.createObjectStore('facts')
      },
    })
    await first.add('updates', { room: 'kit', encoding: 1, update: update('x'), local: true })
    await first.put('pending', { room: 'kit', key: 'k', token: 't:1' })
    first.close()
    const a = store()
    a.append('kit', update('y'), [{ key: 'l', token: 't:2' }], { life: null, clientId: 7 })
    await a.settled()
    const { updates, pending, own } = await a.read('kit', 0)
    expect([updates.length, pending.map((t) => t.key), own]).toEqual([2, ['k', 'l'], [7]])
  })

  it.each([
    ['null', null],
    ['not defined', undefined],
  ])('not in a browser in which it is %s, and says why', async (_, none) => {
    globalThis.indexedDB = none as unknown as IDBFactory
    const a = store()
    expect(await a.rooms()).toEqual([])
    expect(a.signal).toEqual({ state: 'missing', reason: 'this browser has no storage for pages' })
  })

  it('not in a browser that does not know the word', async () => {
    Reflect.deleteProperty(globalThis, 'indexedDB')
    const a = store()
    await a.settled()
    expect(a.signal).toEqual({ state: 'missing', reason: 'this browser has no storage for pages' })
  })

  it.each([
    [new DOMException('', 'UnknownError'), 'UnknownError'],
    ['no more', 'no more'],
  ])('says in words why it could not: %s', async (thrown, reason) => {
    vi.spyOn(indexedDB, 'open').mockImplementation(() => {
      throw thrown
    })
    const a = store()
    await a.settled()
    expect(a.signal).toEqual({ state: 'missing', reason })
  })

  it(
    'in time: its patience has nothing more to say',
    whileTimersStand(async () => {
      const a = store()
      await a.settled()
      await pass(3000)
      expect(a.signal).toEqual({ state: 'stored' })
    }),
  )

  it(
    'late, behind an older tab: three seconds are waited, then the board opens without it until it comes',
    whileTimersStand(async () => {
      const older = await openDB('stagecall', 1)
      const a = store()
      await pass(2999)
      expect(a.signal).toEqual({ state: 'opening' })
      await pass(1)
      expect(a.signal).toEqual({ state: 'missing', reason: 'the storage does not answer' })
      expect(await a.session()).toBeNull()
      expect(
        await a.move('kit', null, 'one', () => ({ update: null, pending: [], own: [], drafts: [] })),
      ).toBe(false)
      older.close()
      await turns()
      expect(a.signal).toEqual({ state: 'stored' })
    }),
  )

  it(
    'and lets go for a newer version in another tab: it says so, and does not come back',
    whileTimersStand(async () => {
      const a = store()
      await a.settled()
      const newer = await openDB('stagecall', 3)
      const said = { state: 'failed', reason: 'another tab runs a newer version: reload this one' }
      expect(a.signal).toEqual(said)
      const before = opened.length
      await pass(120_000)
      expect(opened).toHaveLength(before)
      a.append('kit', update('x'), [])
      await turns()
      expect(a.signal).toEqual(said)
      expect(await newer.getAll('updates')).toEqual([])
      newer.close()
    }),
  )

  it('a job that is being written when a newer version comes is finished, the next one is not begun', async () => {
    const a = store()
    await a.settled()
    a.append('kit', update('x'), [])
    a.append('kit', update('y'), [])
    const newer = await openDB('stagecall', 3)
    await a.settled()
    expect(a.signal).toEqual({
      state: 'failed',
      reason: 'another tab runs a newer version: reload this one',
    })
    expect(await newer.getAll('updates')).toHaveLength(1)
    newer.close()
  })
})
