import { describe, expect, it, vi } from 'vitest'
import { Awareness, applyAwarenessUpdate } from 'y-protocols/awareness'
import * as Y from 'yjs'
import { writeField } from '@/lib/board'
import { writeBarrier, writeClock, writeRoomState } from '@/lib/sync/frames'
import { IdbStore } from '@/app/sync/idb-store'
import { device, roomTabs } from './room-tabs'
import { pass, turns, whileTimersStand } from './while-timers-stand'

const { network, openTab } = roomTabs()
const READ_ONLY = writeRoomState({ state: 'read-only', reason: 'the disk is full' })
const WRITABLE = writeRoomState({ state: 'writable' })

describe('a room’s line', () => {
  it('is offline, connecting, then live; offline again when it is let go', async () => {
    const { room } = await openTab(undefined, { connect: false })
    const fresh = {
      room: 'kit',
      connection: 'offline',
      hasContent: false,
      pending: 0,
      roomState: { state: 'writable' },
      isUnknown: false,
    }
    expect(room.snapshot).toEqual(fresh)
    const seen: string[] = []
    const stop = room.subscribe(() => seen.push(room.snapshot.connection))
    room.connect()
    room.connect()
    await network().settle()
    expect(network().sockets.size).toBe(1)
    expect([...new Set(seen)]).toEqual(['connecting', 'live'])
    expect(room.snapshot).toEqual({ ...fresh, connection: 'live', hasContent: true })
    stop()
    room.disconnect()
    expect(room.snapshot.connection).toBe('offline')
    expect(seen.at(-1)).toBe('live')
    await turns()
    expect(network().sockets.size).toBe(0)
  })

  it('is current once all has come, and no longer when the line goes', async () => {
    const { room } = await openTab(undefined, { connect: false })
    room.connect()
    await Promise.resolve()
    expect([room.snapshot.connection, room.isCurrent]).toEqual(['live', false])
    await network().settle()
    expect(room.isCurrent).toBe(true)
    network().cut()
    expect(room.isCurrent).toBe(false)
  })

  it('stays closed where nobody wants it', async () => {
    const { room } = await openTab(undefined, { connect: false })
    room.reconnect()
    room.checkLine()
    await network().settle()
    expect(network().sockets.size).toBe(0)
    room.connect()
    await network().settle()
    room.disconnect()
    room.reconnect()
    room.checkLine()
    await network().settle()
    expect(network().sockets.size).toBe(0)
  })

  it('says when the socket could not be opened', async () => {
    const { heard } = await openTab()
    const [socket] = network().sockets
    expect(heard.errors).toBe(0)
    socket?.onerror?.(new Error('refused'))
    expect(heard.errors).toBe(1)
  })

  it('closed by the server with no word says that the phone was removed', async () => {
    const { heard } = await openTab()
    network().cut(4401, '')
    await network().settle()
    expect(heard.sessions).toEqual([{ state: 'revoked', reason: 'This phone was removed from the board.' }])
  })

  it('measures the clock by answers alone', async () => {
    const { clock, hear, room } = await openTab(undefined, { connect: false })
    room.connect()
    await Promise.resolve()
    hear(writeClock({ clientMs: 1, serverMs: null }))
    expect(clock.measured).toBeNull()
    hear(writeClock({ clientMs: Date.now(), serverMs: 5 }))
    expect(clock.measured).not.toBeNull()
  })

  it('tells nobody of an answer to nothing', async () => {
    const { room, hear } = await openTab()
    const before = room.snapshot
    hear(writeBarrier({ epoch: 1, n: 99 }))
    expect(room.snapshot).toBe(before)
  })
})

describe('[S7] a room that turns writable', () => {
  const open = async () => {
    const tab = await openTab()
    const [first] = network().sockets
    tab.hear(READ_ONLY)
    return { ...tab, isFirst: () => [...network().sockets].at(-1) === first }
  }

  it(
    'and does not ask what we have is asked anew by us, after three seconds',
    whileTimersStand(async () => {
      const { hear, rename, mark, isFirst } = await open()
      rename('rook', 'Rook')
      hear(WRITABLE)
      await pass(2999)
      await network().settle()
      expect([isFirst(), mark('rook')]).toEqual([true, 'phone'])
      await pass(1)
      await network().settle()
      expect([isFirst(), mark('rook')]).toEqual([false, 'saved'])
    }),
  )

  it(
    'is left alone where nothing waits',
    whileTimersStand(async () => {
      const { hear, isFirst } = await open()
      hear(WRITABLE)
      await pass(3000)
      await network().settle()
      expect(isFirst()).toBe(true)
    }),
  )

  it(
    'is left alone where it has asked meanwhile',
    whileTimersStand(async () => {
      const { room, rename, mark } = await openTab()
      network().room('kit').answers = false
      rename('rook', 'Rook')
      await network().settle()
      const [socket] = network().sockets
      // It was writable all the time: answers are under way.
      socket?.onmessage?.({ data: WRITABLE })
      await pass(3000)
      await network().settle()
      expect([...network().sockets]).toEqual([socket])
      socket?.onmessage?.({ data: READ_ONLY })
      room.reconnect()
      await network().settle()
      const [second] = network().sockets
      second?.onmessage?.({ data: WRITABLE })
      await pass(3000)
      await network().settle()
      expect([[...network().sockets], mark('rook')]).toEqual([[second], 'phone'])
    }),
  )

  it(
    'when it was never read-only has nothing to make up for',
    whileTimersStand(async () => {
      const { hear, rename, room } = await openTab(undefined, { connect: false })
      rename('rook', 'Rook')
      room.connect()
      await Promise.resolve()
      const [socket] = network().sockets
      // Open, and not asked yet.
      hear(WRITABLE)
      await pass(3000)
      expect([...network().sockets]).toEqual([socket])
    }),
  )
})

describe('[S3] [S9] who is present', () => {
  const here = () => {
    const others = new Awareness(new Y.Doc())
    others.setLocalState(null)
    for (const update of network().room('kit').present) applyAwarenessUpdate(others, update, 'network')
    const states = [...others.getStates()]
    others.destroy()
    return states
  }

  it('is so under a number that nothing is written under, and alone', async () => {
    const { room } = await openTab()
    expect(here()).toEqual([[room.awareness?.clientID, {}]])
    expect(room.awareness?.clientID).not.toBe(room.doc.clientID)
    expect([...(room.awareness?.getStates().keys() ?? [])]).toEqual([room.awareness?.clientID])
  })

  it('says what it does as soon as there is a line', async () => {
    const { room } = await openTab(undefined, { connect: false })
    room.connect()
    room.awareness?.setLocalState({ at: 'rook' })
    await network().settle()
    expect(here()).toEqual([[room.awareness?.clientID, { at: 'rook' }]])
  })

  it('is there again when the line is, and can say what it does', async () => {
    const { room } = await openTab()
    network().cut()
    network().room('kit').present = []
    network().reconnect()
    await network().settle()
    expect(here()).toEqual([[room.awareness?.clientID, {}]])
    room.awareness?.setLocalStateField('at', 'rook')
    await network().settle()
    expect(here()).toEqual([[room.awareness?.clientID, { at: 'rook' }]])
  })

  it('is unknown before there is a line', async () => {
    const { room } = await openTab(undefined, { connect: false })
    expect(room.awareness).toBeNull()
  })
})

describe('[S16] a page that reads its store', () => {
  it('does so once, from the row on that it has', async () => {
    const bell = device()
    const a = await openTab(bell(), { connect: false })
    const b = await openTab(bell(), { connect: false })
    expect(b.room.load()).toBe(b.room.load())
    const read = vi.spyOn(b.store, 'read')
    for (const id of ['rook', 'wren']) {
      a.rename(id, id)
      await a.store.settled()
      await network().settle()
    }
    expect(read.mock.calls).toEqual([
      ['kit', 0],
      ['kit', 1],
    ])
    expect(b.room.pendingKeys()).toEqual(['cars|rook:name', 'cars|wren:name'])
  })

  it('folds what has become many rows', async () => {
    const compact = vi.spyOn(IdbStore.prototype, 'compact')
    await openTab(undefined, { connect: false })
    expect(compact.mock.calls).toEqual([['kit']])
  })

  it('sends on another tab’s edit, and not what that tab has of the server', async () => {
    const bell = device()
    const a = await openTab(bell(), { connect: false })
    const b = await openTab(bell())
    const others = new Y.Doc()
    writeField(others, 'cars', 'heron', 'name', 'Heron')
    a.store.append('kit', Y.encodeStateAsUpdate(others), [])
    a.rename('rook', 'Rook')
    await a.store.settled()
    await network().settle()
    expect([...b.room.doc.getMap('cars').keys()].sort()).toEqual(['heron:name', 'rook:name'])
    expect([...network().room('kit').doc.getMap('cars').keys()]).toEqual(['rook:name'])
    await b.store.settled()
    expect((await b.store.read('kit', 0)).pending).toEqual([])
  })

  it('keeps its own edit that is not stored yet when another tab rings', async () => {
    const bell = device()
    const a = await openTab(bell(), { connect: false })
    const b = await openTab(bell(), { connect: false })
    expect(b.room.snapshot.hasContent).toBe(false)
    vi.spyOn(b.store, 'append').mockImplementation(() => undefined)
    b.rename('wren', 'Wren')
    expect(b.room.snapshot.hasContent).toBe(true)
    a.rename('rook', 'Rook')
    await a.store.settled()
    await turns()
    expect(b.room.pendingKeys().sort()).toEqual(['cars|rook:name', 'cars|wren:name'])
  })

  it('stores an edit once, as its own, and what comes from the server as that', async () => {
    writeField(network().room('kit').doc, 'cars', 'heron', 'name', 'Heron')
    const { rename, store, room } = await openTab()
    rename('rook', 'Rook')
    await network().settle()
    await store.settled()
    const { updates, own } = await store.read('kit', 0)
    expect(updates.map((u) => u.local)).toEqual([false, true])
    expect(own).toEqual([room.doc.clientID])
  })
})
