import { describe, expect, it } from 'vitest'
import { writeField } from '@/lib/board'
import type { Rejection } from '@/lib/sync/states'
import { writeRejection, writeRoomState } from '@/lib/sync/frames'
import { IdbStore } from '@/app/sync/idb-store'
import { RoomClient } from '@/app/sync/room-client'
import { ServerClock } from '@/app/sync/server-clock'
import { unsentText } from '@/app/sync/unsent-text'
import { device, roomTabs } from './room-tabs'

const { network, openTab, disposers } = roomTabs()
const serverName = (id: string) => network().room('kit').doc.getMap('cars').get(`${id}:name`)

describe('[S8] marks of a room', () => {
  it('a value is only on this phone until the server’s answer, then saved', async () => {
    const { room, rename, mark } = await openTab()
    rename('rook', 'Rook')
    expect(mark('rook')).toBe('phone')
    expect(room.snapshot.pending).toBe(1)
    await network().settle()
    expect(mark('rook')).toBe('saved')
    expect(room.snapshot.pending).toBe(0)
    expect(serverName('rook')).toBe('Rook')
  })

  it('while the server can’t commit, values stay marked; a later answer clears them', async () => {
    const { rename, mark } = await openTab()
    network().room('kit').answers = false
    rename('rook', 'Rook')
    await network().settle()
    expect(mark('rook')).toBe('phone')
    network().room('kit').answers = true
    rename('wren', 'Wren')
    await network().settle()
    expect([mark('rook'), mark('wren')]).toEqual(['saved', 'saved'])
  })

  it('an edit lost with its socket is not called saved by the next socket before it has arrived', async () => {
    const { rename, mark } = await openTab()
    rename('rook', 'Rook')
    await Promise.resolve()
    network().cut() // the update and its barrier were under way
    expect(serverName('rook')).toBeUndefined()
    network().reconnect()
    for (let i = 0; i < 40; i++) {
      await new Promise((resolve) => setImmediate(resolve))
      network().step()
      if (mark('rook') === 'saved') expect(serverName('rook')).toBe('Rook')
    }
    expect(mark('rook')).toBe('saved')
    const epochs = network()
      .room('kit')
      .barriers.map((b) => b.epoch)
    expect(epochs.at(-1)).toBe(2)
  })

  it('offline edits are marked, survive a reload, and arrive and are cleared after the reconnect', async () => {
    const first = await openTab()
    network().up = false
    network().cut()
    first.rename('rook', 'Rook 4WD')
    await first.store.settled()
    first.close()
    const second = await openTab()
    expect(second.mark('rook')).toBe('phone')
    expect(second.room.doc.getMap('cars').get('rook:name')).toBe('Rook 4WD')
    expect(second.room.snapshot.connection).not.toBe('live')
    expect(unsentText(second.room)).toEqual(['Car Rook 4WD, Car name: Rook 4WD'])
    network().reconnect()
    await network().settle()
    expect(serverName('rook')).toBe('Rook 4WD')
    expect(second.mark('rook')).toBe('saved')
    await second.store.settled()
    expect((await second.store.read('kit', 0)).pending).toEqual([])
  })

  it('an update refused as a whole stays marked although a barrier behind it is answered', async () => {
    const { rename, mark, heard } = await openTab()
    const [socket] = network().sockets
    rename('rook', 'Rook')
    await Promise.resolve()
    const rejection: Rejection = {
      kind: 'too-large',
      path: null,
      attempted: null,
      restored: null,
      reason: 'too large',
      at: 1,
    }
    // The server refuses the update, then answers the barrier that came behind it.
    socket!.onmessage?.({ data: writeRejection(rejection) })
    await network().settle()
    expect(heard.rejections).toEqual([rejection])
    expect(mark('rook')).toBe('phone')
  })

  it('a read-only room is said so, and barriers wait for its next question', async () => {
    const { room, rename, mark } = await openTab()
    const [socket] = network().sockets
    socket!.onmessage?.({ data: writeRoomState({ state: 'read-only', reason: 'the disk is full' }) })
    expect(room.snapshot.roomState).toEqual({ state: 'read-only', reason: 'the disk is full' })
    rename('rook', 'Rook')
    await network().settle()
    expect(mark('rook')).toBe('phone')
    socket!.onmessage?.({ data: writeRoomState({ state: 'writable' }) })
    room.reconnect()
    await network().settle()
    expect(mark('rook')).toBe('saved')
  })
})

describe('[S16] the store and the socket', () => {
  it('loaded content is not pushed to a server that has it', async () => {
    const first = await openTab()
    for (let i = 0; i < 50; i++) first.rename(`car${i}`, `A car with a long enough name ${i}`)
    await network().settle()
    await first.store.settled()
    first.close()
    await openTab()
    const [socket] = network().sockets
    expect(socket!.pushed).toBe(0)
  })

  it('[S16] connected while the store is still read, it asks with what is stored: the server sends none of it again', async () => {
    writeField(network().room('kit').doc, 'cars', 'heron', 'name', 'Heron')
    const first = await openTab()
    await first.store.settled()
    first.close()
    const second = await openTab(undefined, { connect: 'while it loads' })
    expect(second.room.snapshot.connection).toBe('live')
    await second.store.settled()
    expect((await second.store.read('kit', 0)).updates).toHaveLength(1)
  })

  it('[S16] let go of while the store is still read, it does not connect', async () => {
    const tab = await openTab(undefined, { connect: 'while it loads', disconnect: true })
    expect(tab.room.snapshot.connection).toBe('offline')
    expect(network().sockets.size).toBe(0)
  })

  it('what the server sent is there after a reload without network', async () => {
    writeField(network().room('kit').doc, 'cars', 'heron', 'name', 'Heron')
    const first = await openTab()
    expect(first.room.snapshot.hasContent).toBe(true)
    await first.store.settled()
    first.close()
    network().up = false
    const second = await openTab()
    expect(second.room.doc.getMap('cars').get('heron:name')).toBe('Heron')
    expect(second.mark('heron')).toBe('saved')
  })

  it('two lives one after the other, as under a double mount, leave one copy and one socket', async () => {
    const first = await openTab()
    first.close()
    const second = await openTab()
    expect(network().sockets.size).toBe(1)
    second.rename('rook', 'Rook')
    await network().settle()
    await second.store.settled()
    const { updates } = await second.store.read('kit', 0)
    expect(updates.filter((u) => u.local)).toHaveLength(1)
  })

  it('an edit in one tab shows in the other while both are offline', async () => {
    const bell = device()
    network().up = false
    const a = await openTab(bell())
    const b = await openTab(bell())
    a.rename('rook', 'Rook')
    await a.store.settled()
    await network().settle()
    expect(b.room.doc.getMap('cars').get('rook:name')).toBe('Rook')
    expect(b.mark('rook')).toBe('phone')
  })

  it('edits of a tab that was closed offline reach the server through another tab', async () => {
    const bell = device()
    const b = await openTab(bell())
    network().up = false
    network().cut()
    const a = await openTab(bell(), { connect: false })
    a.rename('rook', 'Rook')
    await a.store.settled()
    await network().settle()
    a.close()
    network().reconnect()
    await network().settle()
    expect(serverName('rook')).toBe('Rook')
    expect(b.mark('rook')).toBe('saved')
    await b.store.settled()
    expect((await b.store.read('kit', 0)).pending).toEqual([])
  })

  it('an acknowledgement in one tab clears the mark in the other', async () => {
    const bell = device()
    const a = await openTab(bell())
    const b = await openTab(bell())
    network().room('kit').answers = false
    a.rename('rook', 'Rook')
    await a.store.settled()
    await network().settle()
    expect(b.mark('rook')).toBe('phone')
    network().room('kit').answers = true
    a.rename('wren', 'Wren')
    await network().settle()
    await a.store.settled()
    await network().settle()
    expect([a.mark('rook'), b.mark('rook')]).toEqual(['saved', 'saved'])
  })

  it('without a store, edits go out and are acknowledged all the same', async () => {
    globalThis.indexedDB = undefined as unknown as IDBFactory
    const { rename, mark, store } = await openTab()
    rename('rook', 'Rook')
    await network().settle()
    expect(mark('rook')).toBe('saved')
    expect(store.signal.state).toBe('missing')
  })
})

describe('[S11] the session frame', () => {
  it('is heard when the socket opens', async () => {
    network().session = { state: 'active', personId: 'p', name: 'Ilse', role: 'mechanic', deviceId: 'd' }
    const { heard } = await openTab()
    expect(heard.sessions).toEqual([network().session])
  })

  it('a socket closed as revoked ends the reconnecting', async () => {
    const { heard, room } = await openTab()
    network().cut(4401, 'revoked')
    await network().settle()
    expect(heard.sessions).toEqual([{ state: 'revoked', reason: 'revoked' }])
    expect(room.snapshot.connection).toBe('offline')
    expect(network().sockets.size).toBe(0)
  })
})

describe('[S15] probes', () => {
  it('the clock is measured as soon as the socket opens', async () => {
    const clock = new ServerClock(() => Date.now() - 60_000)
    const store = new IdbStore()
    const room = new RoomClient({
      room: 'kit',
      store,
      clock,
      createProvider: network().createProvider,
      onRejection: () => undefined,
      onSession: () => undefined,
      onVersion: () => undefined,
      onUnfit: () => undefined,
      onConnectionError: () => undefined,
    })
    disposers.push(() => {
      room.close()
      store.close()
    })
    await room.load()
    room.connect()
    await network().settle()
    expect(Math.abs((clock.measured?.offsetMs ?? 0) - 60_000)).toBeLessThanOrEqual(
      (clock.measured?.plusMinusMs ?? 0) + 1,
    )
  })
})
