import 'fake-indexeddb/auto'
import { IDBFactory } from 'fake-indexeddb'
import { afterEach, beforeEach } from 'vitest'
import { writeField } from '@/lib/board'
import type { BoardVersion, Rejection, SessionState } from '@/lib/sync/states'
import type { RoomContent } from '@/app/sync/client-store'
import { IdbStore, type Doorbell } from '@/app/sync/idb-store'
import { fieldKey } from '@/app/sync/pending-keys'
import { RoomClient } from '@/app/sync/room-client'
import { ServerClock } from '@/app/sync/server-clock'
import { FakeNetwork } from './fake-network'

/** What a tab was told. */
interface Heard {
  rejections: Rejection[]
  sessions: SessionState[]
  versions: BoardVersion[]
  unfit: ('server' | 'elsewhere')[]
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
      seed,
    }: { connect?: boolean | 'while it loads'; disconnect?: boolean; seed?: RoomContent } = {},
  ) {
    const heard: Heard = { rejections: [], sessions: [], versions: [], unfit: [], errors: 0 }
    const store = new IdbStore({ doorbell })
    const clock = new ServerClock()
    const room = new RoomClient({
      room: 'kit',
      store,
      clock,
      createProvider: current().createProvider,
      onRejection: (r) => heard.rejections.push(r),
      onSession: (s) => heard.sessions.push(s),
      onVersion: (v) => heard.versions.push(v),
      onUnfit: (_, why) => heard.unfit.push(why),
      onConnectionError: () => heard.errors++,
      ...(seed && { seed }),
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
    /** A frame from the server, on the newest socket. */
    const hear = (data: Uint8Array) => [...current().sockets].at(-1)?.onmessage?.({ data })
    return { room, store, clock, heard, hear, rename, mark, close }
  }
  return { network: current, openTab, disposers }
}
