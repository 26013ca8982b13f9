import 'fake-indexeddb/auto'
import { IDBFactory } from 'fake-indexeddb'
import { afterEach, beforeEach } from 'vitest'
import { writeField } from '@/lib/board'
import type { Rejection, SessionState } from '@/lib/sync/states'
import { IdbStore, type Doorbell } from '@/app/sync/idb-store'
import { fieldKey } from '@/app/sync/pending-keys'
import { RoomClient } from '@/app/sync/room-client'
import { ServerClock } from '@/app/sync/server-clock'
import { FakeNetwork } from './fake-network'

/** What a tab was told. */
interface Heard {
  rejections: Rejection[]
  sessions: SessionState[]
  errors: number
}

/** A device: one IndexedDB, whose tabs hear each other. */
export function device() {
  const listeners = new Set<{ room: string; hear: () => void; tab: object }>()
  return (tab: object = {}): Doorbell => ({
    ring: (room) => listeners.forEach((l) => l.room === room && l.tab !== tab && l.hear()),
    onRing: (room, hear) => {
      const entry = { room, hear, tab }
      listeners.add(entry)
      return () => void listeners.delete(entry)
    },
    close: () => undefined,
  })
}

/** Tabs of the kit's room over a network in memory; a new network and an empty device for each test of the file. */
export function roomTabs() {
  let network: FakeNetwork
  const current = () => network
  const disposers: (() => void)[] = []
  beforeEach(() => {
    globalThis.indexedDB = new IDBFactory()
    network = new FakeNetwork()
  })
  afterEach(() => {
    disposers.splice(0).forEach((d) => d())
    network.close()
  })
  async function openTab(
    doorbell: Doorbell = device()(),
    {
      connect = true,
      disconnect = false,
    }: { connect?: boolean | 'while it loads'; disconnect?: boolean } = {},
  ) {
    const heard: Heard = { rejections: [], sessions: [], errors: 0 }
    const store = new IdbStore({ doorbell })
    const room = new RoomClient({
      room: 'kit',
      store,
      clock: new ServerClock(),
      createProvider: current().createProvider,
      onRejection: (r) => heard.rejections.push(r),
      onSession: (s) => heard.sessions.push(s),
      onVersion: () => undefined,
      onUnfit: () => undefined,
      onConnectionError: () => heard.errors++,
    })
    const loaded = room.load()
    if (connect === 'while it loads') room.connect()
    if (disconnect) room.disconnect()
    await loaded
    if (connect === true) room.connect()
    const close = () => {
      room.close()
      store.close()
    }
    disposers.push(close)
    await current().settle()
    const rename = (id: string, name: string) => writeField(room.doc, 'cars', id, 'name', name)
    const mark = (id: string) => room.markOf(fieldKey('cars', id, 'name'))
    return { room, store, heard, rename, mark, close }
  }
  return { network: current, openTab, disposers }
}
