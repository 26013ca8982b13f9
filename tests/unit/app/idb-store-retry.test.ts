import { describe, expect, it, vi } from 'vitest'
import { deviceStores, update } from './device-stores'
import { pass, turns, whileTimersStand } from './while-timers-stand'

const { store, opened } = deviceStores()

/** No row is added from now on. @returns how often it was tried, and an end of it. */
function nothingFits(thrown: unknown = new DOMException('no room', 'QuotaExceededError')) {
  const add = vi.spyOn(IDBObjectStore.prototype, 'add').mockImplementation(() => {
    throw thrown
  })
  return { tries: () => add.mock.calls.length, end: () => add.mockRestore() }
}

describe('[S16] what the device does not write', () => {
  it(
    'is tried again every five seconds, and not before',
    whileTimersStand(async () => {
      const a = store()
      await a.settled()
      const { tries, end } = nothingFits()
      a.append('kit', update('x'), [])
      await turns()
      for (const made of [1, 2, 3]) {
        expect([tries(), a.signal]).toEqual([made, { state: 'full' }])
        await pass(4999)
        expect(tries()).toBe(made)
        await pass(1)
      }
      end()
      await pass(5000)
      expect(a.signal).toEqual({ state: 'stored' })
      await pass(60_000)
      expect((await a.read('kit', 0)).updates).toHaveLength(1)
    }),
  )

  it(
    'goes first, and what comes behind it waits',
    whileTimersStand(async () => {
      const a = store({ retryAfter: 1000 })
      await a.settled()
      const { tries, end } = nothingFits()
      a.append('kit', update('x'), [{ key: 'k', token: 't:1' }])
      await turns()
      a.append('kit', update('y'), [{ key: 'k', token: 't:2' }])
      await turns()
      expect([tries(), a.signal]).toEqual([1, { state: 'full' }])
      end()
      await pass(1000)
      const { pending, updates } = await a.read('kit', 0)
      expect([updates.length, pending]).toEqual([2, [{ key: 'k', token: 't:2' }]])
      // And the next one waits for nothing.
      a.append('kit', update('z'), [])
      await a.settled()
      expect((await a.read('kit', 0)).updates).toHaveLength(3)
    }),
  )

  it(
    'is not tried any more once the page is closed',
    whileTimersStand(async () => {
      const a = store({ retryAfter: 1000 })
      await a.settled()
      const { tries } = nothingFits()
      a.append('kit', update('x'), [])
      await turns()
      a.close()
      await pass(10_000)
      expect(tries()).toBe(1)
    }),
  )

  it(
    'fails once where the page was closed before',
    whileTimersStand(async () => {
      const a = store({ retryAfter: 1000 })
      await a.settled()
      const { tries } = nothingFits()
      a.append('kit', update('x'), [])
      a.close()
      await turns()
      expect(vi.getTimerCount()).toBe(0)
      await pass(10_000)
      expect(tries()).toBe(1)
    }),
  )

  it.each([
    [new DOMException('', 'UnknownError'), 'UnknownError'],
    [new DOMException('the disk', 'UnknownError'), 'the disk'],
    [new Error('QuotaExceededError'), 'QuotaExceededError'],
    ['a text', 'a text'],
  ])('says why: %s', async (thrown, reason) => {
    const a = store({ retryAfter: 1e9 })
    await a.settled()
    nothingFits(thrown)
    a.append('kit', update('x'), [])
    await a.settled()
    expect(a.signal).toEqual({ state: 'failed', reason })
  })

  it('is not lost where a listener hands it over in the moment in which all was stored', async () => {
    const a = store()
    await a.settled()
    a.append('kit', update('x'), [])
    const stop = a.onSignal(() => {
      if (a.signal.state !== 'stored') return
      stop()
      a.append('kit', update('y'), [])
    })
    await a.settled()
    await turns()
    expect((await a.read('kit', 0)).updates).toHaveLength(2)
    expect(a.signal).toEqual({ state: 'stored' })
  })

  it('is called stored only when it is on the disk', async () => {
    const a = store()
    await a.settled()
    const begun = vi.spyOn(IDBDatabase.prototype, 'transaction')
    a.append('kit', update('x'), [])
    await a.settled()
    expect(begun.mock.calls.map(([, mode, how]) => [mode, how])).toEqual([
      ['readwrite', { durability: 'strict' }],
    ])
  })

  it('who listens no more is not told; neither is anybody by a page that is closed', async () => {
    const a = store()
    await a.settled()
    const said: string[] = []
    const stop = a.onSignal(() => said.push(`one ${a.signal.state}`))
    a.onSignal(() => said.push(`two ${a.signal.state}`))
    a.append('kit', update('x'), [])
    stop()
    a.close()
    await a.settled()
    expect(said).toEqual(['one storing', 'two storing'])
  })
})

describe('[S16] what can’t be read', () => {
  it('is nothing, and said so', async () => {
    const a = store()
    a.append('kit', update('x'), [])
    await a.settled()
    vi.spyOn(IDBDatabase.prototype, 'transaction').mockImplementation(() => {
      throw new DOMException('not now', 'UnknownError')
    })
    const failed = { state: 'failed', reason: 'not now' }
    expect(await a.session()).toBeNull()
    expect(await a.drafts()).toEqual([])
    expect(await a.allPending()).toEqual([])
    expect(a.signal).toEqual({ state: 'stored' })
    expect(await a.read('kit', 0)).toEqual({ updates: [], pending: [], life: null, own: [] })
    expect(a.signal).toEqual(failed)
  })

  it('of the names of rooms, too', async () => {
    const a = store()
    a.append('kit', update('x'), [])
    await a.settled()
    vi.spyOn(IDBIndex.prototype, 'openKeyCursor').mockImplementation(() => {
      throw new DOMException('not now', 'UnknownError')
    })
    expect(await a.rooms()).toEqual([])
    expect(a.signal).toEqual({ state: 'failed', reason: 'not now' })
  })

  it('of a page that is closed is nothing', async () => {
    const a = store()
    a.append('kit', update('x'), [{ key: 'k', token: 't:1' }])
    a.close()
    await turns()
    expect(opened).toHaveLength(1)
    expect(await a.read('kit', 0)).toEqual({ updates: [], pending: [], life: null, own: [] })
    expect([await a.rooms(), await a.drafts(), await a.allPending(), await a.session()]).toEqual([
      [],
      [],
      [],
      null,
    ])
  })
})
