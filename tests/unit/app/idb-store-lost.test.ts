import { describe, expect, it, vi } from 'vitest'
import type { IdbStore } from '@/app/sync/idb-store'
import { deviceStores, update } from './device-stores'
import { pass, turns, whileTimersStand } from './while-timers-stand'

const { store, lose, opened } = deviceStores()
const LOST = { state: 'failed', reason: 'the browser closed the storage' }

async function ready() {
  const a = store()
  await a.settled()
  let told = 0
  const stop = a.onReopened(() => told++)
  return { a, told: () => told, stop }
}
const rows = async (a: IdbStore) => (await a.read('kit', 0)).updates.length
const isOpen = (db: IDBDatabase | undefined) => {
  try {
    return db?.transaction('facts') !== undefined
  } catch {
    return false
  }
}

describe('[S19] a store that the browser closes', () => {
  it(
    'says so, is opened again at once, and tells it',
    whileTimersStand(async () => {
      const { a, told } = await ready()
      lose()
      expect(a.signal).toEqual(LOST)
      await pass(0)
      expect([a.signal, told(), opened.length]).toEqual([{ state: 'stored' }, 1, 2])
    }),
  )

  it(
    'writes what it was handed meanwhile',
    whileTimersStand(async () => {
      const { a } = await ready()
      lose()
      a.append('kit', update('x'), [])
      expect(a.signal).toEqual(LOST)
      expect(await rows(a)).toBe(0)
      await pass(0)
      expect(await rows(a)).toBe(1)
    }),
  )

  it(
    'without an event is found out by the next write, which is made afterwards',
    whileTimersStand(async () => {
      const { a, told } = await ready()
      opened.at(-1)?.close()
      a.append('kit', update('x'), [])
      await turns()
      expect(a.signal).toEqual(LOST)
      await pass(0)
      expect([a.signal, told(), await rows(a)]).toEqual([{ state: 'stored' }, 1, 1])
    }),
  )

  it(
    'and can’t be opened is tried at once, after a second, and after twice as long each time, up to half a minute',
    whileTimersStand(async () => {
      const { a, told } = await ready()
      const open = vi.spyOn(indexedDB, 'open').mockImplementation(() => {
        throw new DOMException('not now', 'UnknownError')
      })
      open.mockClear()
      lose()
      await pass(0)
      let tries = 1
      for (const seconds of [1, 2, 4, 8, 16, 30, 30]) {
        expect(open).toHaveBeenCalledTimes(tries)
        expect(a.signal).toEqual(LOST)
        await pass(seconds * 1000 - 1)
        expect(open).toHaveBeenCalledTimes(tries)
        await pass(1)
        tries++
      }
      expect(open).toHaveBeenCalledTimes(tries)
      expect(told()).toBe(0)
      vi.restoreAllMocks()
      await pass(30_000)
      expect([a.signal, told()]).toEqual([{ state: 'stored' }, 1])
    }),
  )

  it(
    'twice in a row is opened once',
    whileTimersStand(async () => {
      const { told } = await ready()
      lose()
      lose()
      await pass(0)
      expect([opened.length, told()]).toEqual([2, 1])
    }),
  )

  it(
    'a second time is opened a second time; who listens no more is not told',
    whileTimersStand(async () => {
      const { a, told, stop } = await ready()
      lose()
      await pass(0)
      stop()
      lose()
      await pass(0)
      expect([opened.length, told(), a.signal]).toEqual([3, 1, { state: 'stored' }])
    }),
  )

  it(
    'is not opened for a page that is closed',
    whileTimersStand(async () => {
      const { a } = await ready()
      lose()
      a.close()
      await pass(60_000)
      expect(opened).toHaveLength(1)
    }),
  )

  it(
    'is not lost again by a page that was closed before',
    whileTimersStand(async () => {
      const { a } = await ready()
      a.close()
      lose()
      await pass(60_000)
      expect(opened).toHaveLength(1)
    }),
  )

  it(
    'is let go again when its page is closed while it opens',
    whileTimersStand(async () => {
      const { a, told } = await ready()
      lose()
      vi.advanceTimersByTime(0)
      a.close()
      await turns()
      expect([opened.length, isOpen(opened[1]), told()]).toEqual([2, false, 0])
    }),
  )

  it('a page that is closed lets go of its store', async () => {
    const { a } = await ready()
    expect(isOpen(opened[0])).toBe(true)
    a.close()
    await turns()
    expect(isOpen(opened[0])).toBe(false)
  })
})
