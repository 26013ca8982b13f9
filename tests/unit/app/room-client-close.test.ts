import { IDBFactory } from 'fake-indexeddb'
import { describe, expect, it, vi } from 'vitest'
import { writeField } from '@/lib/board'
import { writeRoomState } from '@/lib/sync/frames'
import { IdbStore } from '@/app/sync/idb-store'
import { RoomClient } from '@/app/sync/room-client'
import { ServerClock } from '@/app/sync/server-clock'
import { deviceStores } from './device-stores'
import { device, roomTabs } from './room-tabs'
import { pass, turns, whileTimersStand } from './while-timers-stand'

const { network, openTab, disposers } = roomTabs()
const { lose } = deviceStores()

describe('a room that is closed', () => {
  it('lets go of its line and its document, and tells nobody', async () => {
    const { room } = await openTab()
    let told = 0
    room.subscribe(() => told++)
    const before = room.snapshot
    const destroyed = vi.fn()
    room.doc.on('destroy', destroyed)
    expect(room.isClosed).toBe(false)
    room.close()
    room.close()
    await network().settle()
    expect([told, room.snapshot, room.isClosed, room.isCurrent]).toEqual([0, before, true, false])
    expect([network().sockets.size, destroyed.mock.calls.length]).toEqual([0, 1])
  })

  it('does not connect any more', async () => {
    const { room } = await openTab(undefined, { connect: false })
    room.close()
    room.connect()
    room.checkLine()
    room.reconnect()
    await network().settle()
    expect(network().sockets.size).toBe(0)
    const live = await openTab()
    live.room.close()
    live.room.checkLine()
    await network().settle()
    expect(network().sockets.size).toBe(0)
  })

  it('takes and stores nothing that its document is told afterwards', async () => {
    const { room, rename, store } = await openTab()
    room.close()
    rename('rook', 'Rook')
    await store.settled()
    expect([room.pendingKeys(), (await store.read('kit', 0)).updates]).toEqual([[], []])
  })

  it('hears no ring', async () => {
    const bell = device()
    const a = await openTab(bell(), { connect: false })
    const b = await openTab(bell(), { connect: false })
    const read = vi.spyOn(b.store, 'read')
    b.room.close()
    a.rename('rook', 'Rook')
    await a.store.settled()
    await turns()
    expect(read).not.toHaveBeenCalled()
  })

  it('takes nothing of what was still being read', async () => {
    const bell = device()
    const a = await openTab(bell(), { connect: false })
    const b = await openTab(bell(), { connect: false })
    a.rename('rook', 'Rook')
    let read = () => undefined as void
    const real = b.store.read.bind(b.store)
    vi.spyOn(b.store, 'read').mockImplementation(async (...args) => {
      const content = await real(...args)
      await new Promise<void>((resolve) => (read = resolve))
      return content
    })
    await a.store.settled()
    await turns()
    b.room.close()
    read()
    await turns()
    expect(b.room.doc.getMap('cars').size).toBe(0)
  })

  it('while it loads listens to nothing, and folds nothing', async () => {
    const store = new IdbStore()
    const [compact, rings, reopened] = [
      vi.spyOn(store, 'compact'),
      vi.spyOn(store, 'onRing'),
      vi.spyOn(store, 'onReopened'),
    ]
    const nothing = () => undefined
    const room = new RoomClient({
      room: 'kit',
      store,
      clock: new ServerClock(),
      createProvider: network().createProvider,
      onRejection: nothing,
      onSession: nothing,
      onVersion: nothing,
      onUnfit: nothing,
      onConnectionError: nothing,
    })
    disposers.push(() => store.close())
    const loaded = room.load()
    room.connect()
    room.close()
    await loaded
    expect([compact, rings, reopened].map((f) => f.mock.calls.length)).toEqual([0, 0, 0])
    expect(network().sockets.size).toBe(0)
  })

  it(
    'asks for no new line when a room turned writable before',
    whileTimersStand(async () => {
      const { room, rename, hear } = await openTab()
      hear(writeRoomState({ state: 'read-only', reason: 'the disk is full' }))
      rename('rook', 'Rook')
      hear(writeRoomState({ state: 'writable' }))
      room.close()
      await pass(60_000)
      expect(network().sockets.size).toBe(0)
    }),
  )
})

describe('[S19] a store that is open again', () => {
  const emptied = async (store: IdbStore) => {
    globalThis.indexedDB = new IDBFactory()
    const reopened = new Promise<void>((resolve) => store.onReopened(resolve))
    lose()
    await reopened
    await store.settled()
  }

  it('gets what the page holds as the life that it is of, and counts its rows anew', async () => {
    writeField(network().room('kit').doc, 'cars', 'heron', 'name', 'Heron')
    network().session = {
      state: 'active',
      personId: 'p',
      name: 'Ilse',
      role: 'mechanic',
      deviceId: 'd',
      board: { generation: 'one', protocol: 1, schema: 's' },
    }
    const { room, store, rename } = await openTab()
    for (const id of ['rook', 'wren', 'kite']) rename(id, id)
    await network().settle()
    await store.settled()
    await emptied(store)
    const { updates, life, pending } = await store.read('kit', 0)
    expect([updates.length, life, pending]).toEqual([1, 'one', []])
    network().room('kit').answers = false
    rename('rook', 'Rook')
    await store.settled()
    expect((await store.read('kit', 0)).own).toEqual([room.doc.clientID])
  })

  it('is read from its first row on', async () => {
    const bell = device()
    const a = await openTab(bell(), { connect: false })
    for (const id of ['rook', 'wren', 'kite']) a.rename(id, id)
    await a.store.settled()
    const b = await openTab(bell(), { connect: false })
    const read = vi.spyOn(b.store, 'read')
    await emptied(b.store)
    a.rename('heron', 'heron')
    await a.store.settled()
    await turns()
    expect(read.mock.calls).toEqual([['kit', 0]])
  })

  it('gets nothing of a page that holds nothing, or nothing any more', async () => {
    const { store, room } = await openTab(undefined, { connect: false })
    const append = vi.spyOn(store, 'append')
    await emptied(store)
    expect([append.mock.calls.length, store.signal.state]).toEqual([0, 'stored'])
    writeField(room.doc, 'cars', 'rook', 'name', 'Rook')
    room.close()
    await emptied(store)
    expect(append).toHaveBeenCalledTimes(1)
  })
})
