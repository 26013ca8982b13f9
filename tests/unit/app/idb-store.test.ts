import { IDBFactory } from 'fake-indexeddb'
import { describe, expect, it, vi } from 'vitest'
import * as Y from 'yjs'
import { parseAside } from '@/app/sync/aside-room'
import { applyStored } from '@/app/sync/idb-rows'
import type { Doorbell, IdbStore } from '@/app/sync/idb-store'
import { COMPACT_ROWS } from '@/app/sync/idb-writes'
import { localJournal, type Journal, type LeftEdit } from '@/app/sync/left-journal'
import { deviceStores, update } from './device-stores'

const { store } = deviceStores()

describe('[S16] the device’s store', () => {
  it('an update and the fields it touched are there after a reload', async () => {
    const a = store()
    a.append('kit', update('x'), [{ key: 'k', token: 't:1' }])
    await a.settled()
    const { updates, pending } = await store().read('kit', 0)
    expect(updates).toHaveLength(1)
    expect(updates[0]).toMatchObject({ room: 'kit', encoding: 1, local: true })
    expect(pending).toEqual([{ key: 'k', token: 't:1' }])
  })

  it('rooms are kept apart', async () => {
    const a = store()
    a.append('kit', update('x'), [{ key: 'k', token: 't:1' }])
    a.append('meeting-1', update('y'), [])
    expect((await (await settled(a)).read('meeting-1', 0)).pending).toEqual([])
    expect((await a.read('meeting-1', 0)).updates).toHaveLength(1)
  })

  it('settling removes a touch only while it is the latest', async () => {
    const a = store()
    a.append('kit', update('x'), [{ key: 'k', token: 't:1' }])
    a.append('kit', update('y'), [{ key: 'k', token: 'other:1' }])
    a.settle('kit', [{ key: 'k', token: 't:1' }])
    await a.settled()
    expect((await a.read('kit', 0)).pending).toEqual([{ key: 'k', token: 'other:1' }])
    a.settle('kit', [{ key: 'k', token: 'other:1' }])
    await a.settled()
    expect((await a.read('kit', 0)).pending).toEqual([])
  })

  it('many rows are folded into one that holds the same board and forgets overwritten values', async () => {
    const a = store()
    const doc = new Y.Doc()
    doc.on('update', (u: Uint8Array) => a.append('kit', u, []))
    for (let i = 0; i < COMPACT_ROWS * 3; i++) doc.getMap('m').set('same', `value number ${i}`)
    await a.settled()
    const before = (await a.read('kit', 0)).updates.reduce((sum, u) => sum + u.update.byteLength, 0)
    a.compact('kit')
    await a.settled()
    const { updates } = await a.read('kit', 0)
    expect(updates).toHaveLength(1)
    expect(updates[0]!.update.byteLength).toBeLessThan(before / 10)
    const again = new Y.Doc()
    applyStored(again, updates[0]!, null)
    expect(again.getMap('m').toJSON()).toEqual(doc.getMap('m').toJSON())
  })

  it('few rows are left alone', async () => {
    const a = store()
    a.append('kit', update('x'), [])
    a.append('kit', update('y'), [])
    a.compact('kit')
    await a.settled()
    expect((await a.read('kit', 0)).updates).toHaveLength(2)
  })

  it('says storing, then stored', async () => {
    const a = store()
    await a.session()
    const seen: string[] = []
    a.onSignal(() => seen.push(a.signal.state))
    a.append('kit', update('x'), [])
    expect(a.signal.state).toBe('storing')
    await a.settled()
    expect(seen).toEqual(['storing', 'stored'])
  })

  it('a full device is said so, and what could not be written is written once there is room', async () => {
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] })
    try {
      const a = store({ retryAfter: 1000 })
      await a.session()
      const put = vi.spyOn(IDBObjectStore.prototype, 'add').mockImplementation(() => {
        throw new DOMException('no room', 'QuotaExceededError')
      })
      a.append('kit', update('x'), [{ key: 'k', token: 't:1' }])
      await a.settled()
      expect(a.signal.state).toBe('full')
      put.mockRestore()
      a.append('kit', update('y'), [])
      expect((await a.read('kit', 0)).updates).toHaveLength(0)
      vi.advanceTimersByTime(1000)
      await a.settled()
      expect(a.signal.state).toBe('stored')
      const { updates, pending } = await a.read('kit', 0)
      expect(updates).toHaveLength(2)
      expect(pending).toHaveLength(1)
    } finally {
      vi.useRealTimers()
    }
  })

  it('a failed transaction leaves neither the update nor the touches', async () => {
    const a = store({ retryAfter: 1e9 })
    await a.session()
    vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(() => {
      throw new DOMException('broken', 'UnknownError')
    })
    a.append('kit', update('x'), [{ key: 'k', token: 't:1' }])
    await a.settled()
    expect(a.signal).toEqual({ state: 'failed', reason: 'broken' })
    expect(await a.read('kit', 0)).toEqual({ updates: [], pending: [], life: null, own: [] })
  })

  it('without IndexedDB everything answers empty and the signal says why', async () => {
    globalThis.indexedDB = undefined as unknown as IDBFactory
    const a = store()
    a.append('kit', update('x'), [])
    expect(await a.read('kit', 0)).toEqual({ updates: [], pending: [], life: null, own: [] })
    expect(await a.session()).toBeNull()
    expect(await a.drafts()).toEqual([])
    expect(a.signal.state).toBe('missing')
    await a.settled()
  })

  it('a browser that forbids the store is told like one that has none', async () => {
    vi.spyOn(globalThis.indexedDB, 'open').mockImplementation(() => {
      throw new DOMException('The operation is insecure.', 'SecurityError')
    })
    const a = store()
    await a.session()
    expect(a.signal).toEqual({ state: 'missing', reason: 'The operation is insecure.' })
  })

  it('a store that never opens is given up after a while', async () => {
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] })
    try {
      vi.spyOn(globalThis.indexedDB, 'open').mockImplementation(() => new EventTarget() as IDBOpenDBRequest)
      const a = store()
      const session = a.session()
      vi.advanceTimersByTime(3000)
      expect(await session).toBeNull()
      expect(a.signal.state).toBe('missing')
    } finally {
      vi.useRealTimers()
    }
  })

  it('session and drafts last; what is set aside is nobody’s room any more, and drafts stay', async () => {
    const a = store()
    a.setSession({ state: 'active', personId: 'p', name: 'Ilse', role: 'mechanic', deviceId: 'd' })
    const rejection = {
      kind: 'policy',
      path: null,
      attempted: 1,
      restored: null,
      reason: 'no',
      at: 5,
    } as const
    a.addDraft({ id: 'one', room: 'kit', rejection })
    a.append('kit', update('x'), [{ key: 'k', token: 't:1' }])
    await a.settled()
    const b = store()
    expect((await b.session())?.name).toBe('Ilse')
    expect(await b.allPending()).toEqual([{ room: 'kit', key: 'k' }])
    await b.setAside({ deviceId: 'd|1', name: 'Ilse|Ä' })
    expect(await b.read('kit', 0)).toEqual({ updates: [], pending: [], life: null, own: [] })
    expect(await b.allPending()).toEqual([])
    const [aside] = await b.rooms()
    expect(parseAside(aside!.room)).toEqual({ name: 'Ilse|Ä', room: 'kit' })
    expect(await b.read(aside!.room, 0)).toMatchObject({
      pending: [{ key: 'k', token: 't:1' }],
      updates: [{ local: true }],
    })
    expect(await b.drafts()).toEqual([{ id: 'one', room: 'kit', rejection }])
    b.removeDraft('one')
    await b.settled()
    expect(await b.drafts()).toEqual([])
  })

  it('rings for local edits and settlements, not for what the server sent', async () => {
    const rung: string[] = []
    const doorbell: Doorbell = {
      ring: (r) => rung.push(r),
      onRing: () => () => undefined,
      close: () => undefined,
    }
    const a = store({ doorbell })
    a.append('kit', update('x'), [])
    await a.settled()
    expect(rung).toEqual([])
    a.append('kit', update('y'), [{ key: 'k', token: 't:1' }])
    a.settle('kit', [{ key: 'k', token: 't:1' }])
    await a.settled()
    expect(rung).toEqual(['kit', 'kit'])
  })

  it('what was handed over before closing is still written', async () => {
    const a = store()
    a.append('kit', update('x'), [])
    a.close()
    await a.settled()
    expect((await store().read('kit', 0)).updates).toHaveLength(1)
  })
})

describe('[S20] a page that is left', () => {
  const inMemory = (): Journal & { edits: LeftEdit[] } => {
    const journal = {
      edits: [] as LeftEdit[],
      put: (all: readonly LeftEdit[]) => void journal.edits.splice(0, Infinity, ...all),
      get: () => [...journal.edits],
      clear: () => void journal.edits.splice(0),
    }
    return journal
  }

  // A document writes the same edit in other bytes each time it is made.
  const made = new Map<string, Uint8Array>()
  const edit = (of: string): LeftEdit => {
    const bytes = made.get(of) ?? update(of)
    made.set(of, bytes)
    return { room: 'kit', update: bytes, touches: [{ key: of, token: 't:1' }] }
  }
  const inLocalStorage = (): Storage => {
    const kept = new Map<string, string>()
    return {
      get length() {
        return kept.size
      },
      key: (i: number) => [...kept.keys()][i] ?? null,
      getItem: (k: string) => kept.get(k) ?? null,
      setItem: (k: string, v: string) => void kept.set(k, v),
      removeItem: (k: string) => void kept.delete(k),
    } as unknown as Storage
  }

  it('leaves what is not written yet in the journal, without waiting for anything, and the next visit writes it', async () => {
    const journal = inMemory()
    const a = store({ journal })
    await a.settled()
    a.append('kit', update('x'), [{ key: 'k', token: 't:1' }])
    // The same turn: no promise has had its chance.
    a.leave()
    expect(journal.edits.map((e) => [e.room, e.touches])).toEqual([['kit', [{ key: 'k', token: 't:1' }]]])
    // The browser kills the page: nothing of it is written any more.
    globalThis.indexedDB = new IDBFactory()
    const next = store({ journal })
    const { updates, pending } = await next.read('kit', 0)
    expect([updates.length, pending]).toEqual([1, [{ key: 'k', token: 't:1' }]])
    expect(journal.edits).toEqual([])
  })

  it('leaves nothing when everything is written', async () => {
    const journal = inMemory()
    const a = store({ journal })
    a.append('kit', update('x'), [{ key: 'k', token: 't:1' }])
    await a.settled()
    a.leave()
    expect(journal.edits).toEqual([])
  })

  it('survives as text, and a browser without local storage loses nothing else', () => {
    const storage = inLocalStorage()
    localJournal(() => storage).put([edit('x')])
    const next = localJournal(() => storage)
    expect(next.get()).toEqual([edit('x')])
    next.clear()
    expect(localJournal(() => storage).get()).toEqual([])
    const forbidden = localJournal(() => {
      throw new DOMException('no', 'SecurityError')
    })
    forbidden.put([edit('x')])
    expect(forbidden.get()).toEqual([])
    forbidden.clear()
  })

  it('is hidden, then taken away: what it leaves is kept once, and nothing once it is written', () => {
    const storage = inLocalStorage()
    const page = localJournal(() => storage)
    page.put([edit('x')])
    page.put([edit('x'), edit('y')])
    expect([storage.length, localJournal(() => storage).get()]).toEqual([1, [edit('x'), edit('y')]])
    page.put([])
    expect(storage.length).toBe(0)
  })

  it('two pages that are left at once keep both; what one puts while another reads stays', () => {
    const storage = inLocalStorage()
    const [a, b] = [localJournal(() => storage), localJournal(() => storage)]
    a.put([edit('x')])
    const reader = localJournal(() => storage)
    expect(reader.get()).toEqual([edit('x')])
    b.put([edit('y')])
    reader.clear()
    expect(localJournal(() => storage).get()).toEqual([edit('y')])
    expect(reader.get()).toEqual([edit('y')])
    b.put([edit('y'), edit('z')])
    reader.clear()
    expect(localJournal(() => storage).get()).toEqual([edit('y'), edit('z')])
  })

  it('an entry that is no journal spoils no other; one from an earlier build of the board is read', () => {
    const storage = inLocalStorage()
    localJournal(() => storage).put([edit('x')])
    storage.setItem('stagecall_left', storage.getItem(storage.key(0) ?? '') ?? '')
    storage.setItem('stagecall_left:broken', '{')
    storage.setItem('stagecall_speeds', 'm/s')
    const next = localJournal(() => storage)
    expect(next.get()).toEqual([edit('x'), edit('x')])
    next.clear()
    expect(storage.length).toBe(1)
  })
})

const settled = async (s: IdbStore) => {
  await s.settled()
  return s
}
