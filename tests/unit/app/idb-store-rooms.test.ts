import { describe, expect, it, vi } from 'vitest'
import type { MovedRoom } from '@/app/sync/client-store'
import { parseAside } from '@/app/sync/aside-room'
import { NO_JOURNAL, type LeftEdit } from '@/app/sync/left-journal'
import type { IdbStore } from '@/app/sync/idb-store'
import { deviceStores, update } from './device-stores'
import { device } from './room-tabs'
import { pass, turns, whileTimersStand } from './while-timers-stand'

const { store } = deviceStores()
const rejection = { kind: 'policy', path: null, attempted: 1, restored: null, reason: 'no' } as const
const touch = (token: string) => ({ key: 'k', token })
const moved = (part: Partial<MovedRoom> = {}): MovedRoom => ({
  update: update('moved'),
  pending: [],
  own: [],
  drafts: [],
  ...part,
})

describe('[S23] a room begins another life', () => {
  it('in one step, with its drafts; the other tabs hear of it', async () => {
    const bell = device()
    const a = store({ doorbell: bell() })
    const b = store({ doorbell: bell() })
    const rung: string[] = []
    b.onRing('kit', () => rung.push('kit'))
    const stop = b.onRing('kit', () => rung.push('kit, no more'))
    b.onRing('meeting-1', () => rung.push('meeting-1'))
    stop()
    a.append('kit', update('x'), [], { life: 'one', clientId: 3 })
    const draft = { id: 'd', room: 'kit', rejection: { ...rejection, at: 1 } }
    const wrote = await a.move('kit', 'one', 'two', (stored) =>
      moved({ own: [stored.updates.length], pending: [touch('t:9')], drafts: [draft] }),
    )
    expect([wrote, rung]).toEqual([true, ['kit']])
    const { updates, ...rest } = await b.read('kit', 0)
    expect(updates).toMatchObject([{ encoding: 2, local: true }])
    expect(rest).toEqual({ life: 'two', own: [1], pending: [touch('t:9')] })
    expect(await b.drafts()).toEqual([draft])
  })

  it(
    'not at once where the device does not write: it says so, and does it later',
    whileTimersStand(async () => {
      const a = store({ retryAfter: 1000 })
      await a.settled()
      const add = vi.spyOn(IDBObjectStore.prototype, 'add').mockImplementation(() => {
        throw new DOMException('no room', 'QuotaExceededError')
      })
      expect(await a.move('kit', null, 'one', () => moved())).toBe(false)
      add.mockRestore()
      await pass(1000)
      expect((await a.read('kit', 0)).life).toBe('one')
    }),
  )

  it('never for a page that is closed, or without a store', async () => {
    const a = store()
    await a.settled()
    a.close()
    expect(await a.move('kit', null, 'one', () => moved())).toBe(false)
    globalThis.indexedDB = undefined as unknown as IDBFactory
    const b = store()
    await b.settled()
    expect(await b.move('kit', null, 'one', () => moved())).toBe(false)
  })

  it('and has the life that it was given first', async () => {
    const a = store()
    a.setLife('kit', 'one')
    a.setLife('kit', 'two')
    a.setLife('meeting-1', 'three')
    await a.settled()
    expect([(await a.read('kit', 0)).life, (await a.read('meeting-1', 0)).life]).toEqual(['one', 'three'])
  })
})

describe('[S16] what is stored', () => {
  it('is read from a row on', async () => {
    const a = store()
    for (const name of ['x', 'y', 'z']) a.append('kit', update(name), [])
    await a.settled()
    const ids = async (after: number) => (await a.read('kit', after)).updates.map((u) => u.id)
    const [first = 0, second = 0, third = 0] = await ids(0)
    expect(await ids(first)).toEqual([second, third])
    expect(await ids(third)).toEqual([])
  })

  it('of rooms is named with its life and its newest row', async () => {
    const a = store()
    a.append('kit', update('x'), [], { life: 'one', clientId: 3 })
    a.append('kit', update('y'), [], { life: 'one', clientId: 3 })
    a.append('meeting-1', update('z'), [])
    // Asked at once: what is handed over already counts.
    expect(await a.rooms()).toEqual([
      { room: 'kit', life: 'one', rows: 2, last: 2 },
      { room: 'meeting-1', life: null, rows: 1, last: 3 },
    ])
  })

  it('of drafts comes the latest first', async () => {
    const a = store()
    for (const at of [5, 9, 7]) a.addDraft({ id: `d${at}`, room: 'kit', rejection: { ...rejection, at } })
    await a.settled()
    expect((await a.drafts()).map((d) => d.id)).toEqual(['d9', 'd7', 'd5'])
  })

  it('of a session is gone once there is none', async () => {
    const a = store()
    expect(await a.session()).toBeNull()
    a.setSession({ state: 'active', personId: 'p', name: 'Ilse', role: 'mechanic', deviceId: 'd' })
    await a.settled()
    expect((await a.session())?.personId).toBe('p')
    a.setSession(null)
    await a.settled()
    expect(await a.session()).toBeNull()
  })

  it('is set aside under the first name, whoever joins next', async () => {
    const a = store()
    a.append('kit', update('x'), [touch('t:1')])
    await a.setAside({ deviceId: 'd1', name: 'Ilse' })
    a.append('kit', update('y'), [touch('t:2')])
    await a.setAside({ deviceId: 'd2', name: 'Maren' })
    const names = (await a.rooms()).map(({ room }) => parseAside(room))
    expect(names).toEqual([
      { name: 'Ilse', room: 'kit' },
      { name: 'Maren', room: 'kit' },
    ])
    expect(await a.allPending()).toEqual([])
  })

  it('changes by no settlement of nothing, and nobody hears of one', async () => {
    const bell = device()
    const [a, b] = [store({ doorbell: bell() }), store({ doorbell: bell() })]
    await a.settled()
    let rung = 0
    b.onRing('kit', () => rung++)
    a.settle('kit', [])
    expect(a.signal).toEqual({ state: 'stored' })
    await a.settled()
    await turns()
    expect(rung).toBe(0)
  })

  it('rings nowhere any more once the page is closed', async () => {
    let closed = 0
    const bell = { ring: () => undefined, onRing: () => () => undefined, close: () => void closed++ }
    const a = store({ doorbell: bell })
    await a.settled()
    expect(closed).toBe(0)
    a.close()
    expect(closed).toBe(1)
  })

  it('without a bell, nobody rings', async () => {
    const a = store()
    a.onRing('kit', () => undefined)()
    a.append('kit', update('x'), [touch('t:1')])
    await a.settled()
    expect(a.signal).toEqual({ state: 'stored' })
  })
})

describe('[S20] the journal of a page that was left', () => {
  const copy = { life: 'one', clientId: 3 }
  const left: LeftEdit = { room: 'kit', update: update('x'), touches: [touch('t:1')], copy }
  const journal = (edits: LeftEdit[]) => {
    const put: (readonly LeftEdit[])[] = []
    let cleared = 0
    return {
      put,
      cleared: () => cleared,
      journal: {
        ...NO_JOURNAL,
        put: (all: readonly LeftEdit[]) => void put.push(all),
        get: () => edits,
        clear: () => void cleared++,
      },
    }
  }
  const content = async (a: IdbStore) => {
    const { updates, ...rest } = await a.read('kit', 0)
    return { rows: updates.length, ...rest }
  }

  it('is written before anything is read, as the copy that it was made in', async () => {
    const { journal: j, cleared } = journal([left, { ...left, touches: [{ key: 'l', token: 't:2' }] }])
    const a = store({ journal: j })
    expect(await content(a)).toEqual({
      rows: 2,
      pending: [touch('t:1'), { key: 'l', token: 't:2' }],
      life: 'one',
      own: [3],
    })
    expect(cleared()).toBe(1)
  })

  it(
    'stays where it can’t be written now',
    whileTimersStand(async () => {
      const add = vi.spyOn(IDBObjectStore.prototype, 'add').mockImplementation(() => {
        throw new DOMException('no room', 'QuotaExceededError')
      })
      const { journal: j, cleared } = journal([left])
      const a = store({ journal: j, retryAfter: 1000 })
      await a.settled()
      expect([a.signal, cleared()]).toEqual([{ state: 'full' }, 0])
      add.mockRestore()
      await pass(1000)
      expect((await content(a)).rows).toBe(1)
    }),
  )

  it('takes this phone’s edits alone, each with all that it needs', async () => {
    const { journal: j, put } = journal([])
    const a = store({ journal: j })
    await a.settled()
    a.settle('kit', [touch('t:0')])
    a.append('kit', update('server'), [])
    a.append('kit', left.update, left.touches, copy)
    a.leave()
    expect(put).toEqual([[left]])
  })
})
