import 'fake-indexeddb/auto'
import { IDBFactory } from 'fake-indexeddb'
import { afterEach, beforeEach, expect } from 'vitest'
import { addRecord, changeRecord, schemaVersion } from '@/lib/board'
import type { Role } from '@/lib/core/role'
import { PROTOCOL_VERSION, type BoardVersion } from '@/lib/sync/states'
import { IdbStore } from '@/app/sync/idb-store'
import { SyncClient } from '@/app/sync/sync-client'
import type { SyncClientOptions } from '@/app/sync/sync-options'
import type { SessionAnswer } from '@/app/sync/sync-snapshot'
import { FakeNetwork } from './fake-network'

/** One device and its visits to the board, over a network in the test's hand; made anew before each test of the file that imports it. */
export let network: FakeNetwork
export let answer: SessionAnswer
/** What the server says from now on of who we are. */
export const answerWith = (next: SessionAnswer) => void (answer = next)
export const clients: SyncClient[] = []

export const member = (role: Role = 'mechanic', personId = 'ilse', deviceId = 'phone-1') => ({
  personId,
  name: personId,
  role,
  deviceId,
})
export const here = (session: ReturnType<typeof member> | null): SessionAnswer => ({ reached: true, session })
export const gone: SessionAnswer = { reached: false }

export async function visit(): Promise<SyncClient> {
  const client = openedPage(async () => answer)
  await client.start()
  await network.settle()
  return client
}

/** A visit ends, with everything written down. */
export async function endVisit(client: SyncClient): Promise<void> {
  await client.stored()
  client.close()
  await network.settle()
}

/** A page that has not asked anything yet. */
export function openedPage(
  askSession: () => Promise<SessionAnswer>,
  options: Partial<SyncClientOptions> = {},
): SyncClient {
  const client = new SyncClient({
    store: new IdbStore(),
    createProvider: network.createProvider,
    askSession,
    askAgainAfter: 1,
    ...options,
  })
  clients.push(client)
  return client
}
export function session(client: SyncClient) {
  const { membership } = client.snapshot()
  if (membership.state !== 'member') throw new Error(`is ${membership.state}`)
  return membership.session
}
export const addPack = (client: SyncClient, label: string) =>
  addRecord(client.kitBoard!.context(session(client)), 'kit', 'packs', { label })
export const serverPacks = () => [...network.room('kit').doc.getMap('packs').values()]
export const until = async (done: () => boolean) => {
  for (let i = 0; i < 500 && !done(); i++) await network.settle()
  expect(done()).toBe(true)
}

/** The server's board is of this generation, from the next socket on. */
export const serve = (generation: string, part: Partial<BoardVersion> = {}) =>
  void (network.session = {
    state: 'active',
    ...member(),
    board: { generation, protocol: PROTOCOL_VERSION, schema: schemaVersion(), ...part },
  })
/** A frame from the server on the socket of a room. */
export const hear = (data: Uint8Array, room = 'kit') => {
  for (const socket of network.sockets) if (socket.room.name === room) socket.onmessage?.({ data })
}
/** The names of rooms that have a socket. */
export const linked = () => [...network.sockets].map((s) => s.room.name).sort()
/** A stamped value of the meeting on screen. */
export const assign = (client: SyncClient, v = 23) =>
  changeRecord(client.meetingBoard!.context(session(client)), 'meeting', 'cardValues', 'rook.pinion', {
    assigned: { v, by: 'ilse', at: 1_800_000_000_000 },
  })
/** No line from now on. */
export const deadSpot = () => {
  network.up = false
  network.cut()
}

beforeEach(() => {
  globalThis.indexedDB = new IDBFactory()
  network = new FakeNetwork()
  answer = here(member())
})
afterEach(() => {
  clients.splice(0).forEach((c) => c.close())
  network.close()
})
