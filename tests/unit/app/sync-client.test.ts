import 'fake-indexeddb/auto'
import { IDBFactory } from 'fake-indexeddb'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { applyAwarenessUpdate, Awareness, encodeAwarenessUpdate } from 'y-protocols/awareness'
import * as Y from 'yjs'
import { addRecord, changeRecord, schemaVersion } from '@/lib/board'
import type { Role } from '@/lib/core/role'
import { writeRejection, writeRoomState, writeSession } from '@/lib/sync/frames'
import { PROTOCOL_VERSION, type Rejection } from '@/lib/sync/states'
import { IdbStore } from '@/app/sync/idb-store'
import { SyncClient } from '@/app/sync/sync-client'
import { whyNotSaving, type SessionAnswer } from '@/app/sync/sync-snapshot'
import { draftText } from '@/app/ui/shell/drafts'
import { savedSumText } from '@/app/ui/shell/saved-sum'
import { FakeNetwork } from './fake-network'

let network: FakeNetwork
let answer: SessionAnswer
const clients: SyncClient[] = []

const member = (role: Role = 'mechanic', personId = 'ilse', deviceId = 'phone-1') => ({
  personId,
  name: personId,
  role,
  deviceId,
})
const here = (session: ReturnType<typeof member> | null): SessionAnswer => ({ reached: true, session })
const gone: SessionAnswer = { reached: false }

async function visit(): Promise<SyncClient> {
  const client = new SyncClient({
    store: new IdbStore(),
    createProvider: network.createProvider,
    askSession: async () => answer,
    askAgainAfter: 1,
  })
  clients.push(client)
  await client.start()
  await network.settle()
  return client
}
function session(client: SyncClient) {
  const { membership } = client.snapshot()
  if (membership.state !== 'member') throw new Error(`is ${membership.state}`)
  return membership.session
}
const addPack = (client: SyncClient, label: string) =>
  addRecord(client.kitBoard!.context(session(client)), 'kit', 'packs', { label })
const serverPacks = () => [...network.room('kit').doc.getMap('packs').values()]
const until = async (done: () => boolean) => {
  for (let i = 0; i < 500 && !done(); i++) await network.settle()
  expect(done()).toBe(true)
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

describe('who we are', () => {
  it('a device that never joined is a stranger', async () => {
    answer = here(null)
    expect((await visit()).snapshot().membership).toEqual({ state: 'stranger' })
    expect(network.sockets.size).toBe(0)
  })

  it('never joined and no server: unreachable, until the server answers', async () => {
    answer = gone
    const client = await visit()
    expect(client.snapshot().membership.state).toBe('unreachable')
    answer = here(member())
    await until(() => client.snapshot().online)
  })

  it('joined before and no server: the board opens from the device’s store, and nothing is connected', async () => {
    const first = await visit()
    addPack(first, 'P01')
    await network.settle()
    first.close()
    await network.settle()
    answer = gone
    const second = await visit()
    expect(second.snapshot().membership.state).toBe('member')
    expect(second.kitBoard!.view().packs.live.map((p) => p.label)).toEqual(['P01'])
    expect(second.snapshot().online).toBe(false)
  })

  it('[S11] a role change arrives in the open board at once', async () => {
    const client = await visit()
    const [socket] = network.sockets
    socket!.onmessage?.({ data: writeSession({ state: 'active', ...member('guest') }) })
    expect(session(client).role).toBe('guest')
    expect(addPack(client, 'P02').ok).toBe(false)
  })

  it('[S11] revoked while open: the board closes and what was not sent stays readable', async () => {
    const client = await visit()
    network.room('kit').answers = false
    addPack(client, 'P07')
    const [socket] = network.sockets
    socket!.onmessage?.({ data: writeSession({ state: 'revoked', reason: 'Sent away by the manager' }) })
    expect(client.snapshot().membership).toEqual({
      state: 'revoked',
      reason: 'Sent away by the manager',
      unsent: ['Pack P07, Pack label: P07'],
    })
    expect(client.kitBoard).toBeNull()
    expect(network.sockets.size).toBe(0)
  })

  it('[S11] revoked while the page was closed: what was not sent is readable on the next visit', async () => {
    const first = await visit()
    network.up = false
    network.cut()
    addPack(first, 'P07')
    await network.settle()
    first.close()
    await network.settle()
    answer = here(null)
    const second = await visit()
    await until(() => second.snapshot().membership.state === 'revoked')
    expect(second.snapshot().membership).toMatchObject({ unsent: ['Pack P07, Pack label: P07'] })
  })

  it('another membership on the same device starts from the server’s board; what was unsent becomes a draft', async () => {
    const first = await visit()
    network.up = false
    network.cut()
    addPack(first, 'P07')
    await network.settle()
    first.close()
    await network.settle()
    network.up = true
    answer = here(member('driver', 'maren', 'phone-2'))
    network.session = {
      state: 'active',
      ...member('driver', 'maren', 'phone-2'),
      board: { generation: 'one', protocol: PROTOCOL_VERSION, schema: schemaVersion() },
    }
    const second = await visit()
    await until(() => second.snapshot().drafts.length > 0)
    expect(second.kitBoard!.view().packs.live).toEqual([])
    expect(serverPacks()).toEqual([])
    expect(second.snapshot().drafts).toMatchObject([
      {
        words: 'Pack P07, Pack label: P07',
        rejection: {
          attempted: 'P07',
          reason: 'Made by ilse before this phone joined again, and never sent.',
        },
      },
    ])
    expect(second.snapshot().pending).toBe(0)
  })

  it('a new role for the same person on the same device keeps what was unsent', async () => {
    const first = await visit()
    network.up = false
    network.cut()
    addPack(first, 'P07')
    await network.settle()
    first.close()
    await network.settle()
    network.up = true
    answer = here(member('manager'))
    const second = await visit()
    await network.settle()
    expect(serverPacks()).toEqual(['P07'])
    expect(session(second).role).toBe('manager')
  })
})

describe('meetings', () => {
  const rooms = () => [...network.sockets].map((s) => s.room.name).sort()
  const assign = (client: SyncClient) =>
    changeRecord(client.meetingBoard!.context(session(client)), 'meeting', 'cardValues', 'rook.pinion', {
      assigned: { v: 23, by: 'ilse', at: 1_800_000_000_000 },
    })

  it('one meeting is on screen at a time; one that was left goes with its last unsaved edit', async () => {
    const client = await visit()
    await client.openMeeting('spring')
    await network.settle()
    expect(client.snapshot().meeting?.connection).toBe('live')
    assign(client)
    expect(client.snapshot().pending).toBe(1)
    await client.openMeeting('autumn')
    await until(() => client.snapshot().pending === 0)
    await network.settle()
    expect(client.snapshot().meeting?.room).toBe('meeting-autumn')
    expect(rooms()).toEqual(['kit', 'meeting-autumn'])
  })

  it('[S8] an edit that is not saved yet counts in the sum on every page, and leaves from every page', async () => {
    const client = await visit()
    await client.openMeeting('spring')
    await network.settle()
    network.up = false
    network.cut()
    assign(client)
    client.closeMeeting()
    expect(client.snapshot().pending).toBe(1)
    expect(client.unsent()).toEqual([expect.stringMatching(/rook, Pinion, Assigned: 23 t/)])

    // Back on its page while still unsaved: the same document.
    await client.openMeeting('spring')
    expect(client.snapshot().pending).toBe(1)
    client.closeMeeting()

    network.reconnect()
    await until(() => client.snapshot().pending === 0)
    await network.settle()
    expect(network.room('meeting-spring').doc.getMap('cardValues').get('rook.pinion:assigned')).toMatchObject(
      {
        v: 23,
      },
    )
    expect(rooms()).toEqual(['kit'])
  })

  it('[S8] a meeting that was left takes no further edit and no undo, in words', async () => {
    const client = await visit()
    await client.openMeeting('spring')
    await network.settle()
    const left = client.meetingBoard!
    const ctx = left.context(session(client))
    assign(client)
    await until(() => client.snapshot().pending === 0)
    client.closeMeeting()
    await network.settle()
    const late = changeRecord(ctx, 'meeting', 'cardValues', 'rook.pinion', {
      assigned: { v: 24, by: 'ilse', at: 1_800_000_000_000 },
    })
    expect(late).toMatchObject({ ok: false, error: { reason: 'no meeting is open' } })
    expect(left.undo(session(client))).toMatchObject({ ok: false, error: { reason: 'its page was closed' } })
  })

  it('[S8] a screen that closes late leaves the meeting open that came after it', async () => {
    const client = await visit()
    await client.openMeeting('spring')
    await client.openMeeting('autumn')
    client.closeMeeting('spring')
    expect(client.snapshot().meetingId).toBe('autumn')
    expect(client.meetingBoard).not.toBeNull()
  })

  it('[S20] what was edited can be waited for until the device has stored it', async () => {
    const client = await visit()
    await client.openMeeting('spring')
    await network.settle()
    network.up = false
    network.cut()
    assign(client)
    await client.stored()
    const other = new IdbStore()
    expect(await other.allPending()).toEqual([expect.objectContaining({ room: 'meeting-spring' })])
    other.close()
  })

  it('[S8] [S16] an edit of an earlier visit leaves without its meeting being opened', async () => {
    const first = await visit()
    await first.openMeeting('spring')
    await network.settle()
    network.up = false
    network.cut()
    assign(first)
    await network.settle()
    first.close()
    await network.settle()

    answer = gone
    const second = await visit()
    expect(second.snapshot().pending).toBe(1)
    network.up = true
    answer = here(member())
    await until(() => second.snapshot().pending === 0)
    await network.settle()
    expect(network.room('meeting-spring').doc.getMap('cardValues').has('rook.pinion:assigned')).toBe(true)
    expect(rooms()).toEqual(['kit'])
  })

  it('[S11] revoked on another page: the edit of a meeting that was left stays readable', async () => {
    const client = await visit()
    await client.openMeeting('spring')
    await network.settle()
    network.room('meeting-spring').answers = false
    assign(client)
    client.closeMeeting()
    const [socket] = network.sockets
    socket!.onmessage?.({ data: writeSession({ state: 'revoked', reason: 'Sent away' }) })
    expect(client.snapshot().membership).toMatchObject({
      unsent: [expect.stringMatching(/rook, Pinion, Assigned: 23 t/)],
    })
    expect(network.sockets.size).toBe(0)
  })

  it('is being fetched until its document has come, and only then all can be called saved', async () => {
    const client = await visit()
    const said: string[] = []
    client.subscribe(() => said.push(savedSumText(client.snapshot())))
    expect(savedSumText(client.snapshot())).toBe('all saved on the server')
    const opening = client.openMeeting('spring')
    expect(savedSumText(client.snapshot())).toBe('loading the board')
    await opening
    // Connected, and nothing has come yet.
    await Promise.resolve()
    expect(client.snapshot().meeting).toMatchObject({ connection: 'live', hasContent: false })
    expect(client.snapshot().online).toBe(true)
    expect(new Set(said)).toEqual(new Set(['loading the board']))
    await network.settle()
    expect(savedSumText(client.snapshot())).toBe('all saved on the server')
  })

  it('a meeting asked for before the session is known opens once it is', async () => {
    const client = new SyncClient({
      store: new IdbStore(),
      createProvider: network.createProvider,
      askSession: async () => answer,
    })
    clients.push(client)
    await client.openMeeting('spring')
    expect(client.meetingBoard).toBeNull()
    await client.start()
    await network.settle()
    expect(client.meetingBoard).not.toBeNull()
    expect(client.snapshot().meeting?.connection).toBe('live')
  })
})

describe('a server that can’t save', () => {
  it('[S7] says why while it is there, and is refused for one that was removed', async () => {
    const client = await visit()
    expect(whyNotSaving(client.snapshot())).toBeNull()
    const [socket] = network.sockets
    socket!.onmessage?.({ data: writeRoomState({ state: 'read-only', reason: 'the disk is full' }) })
    expect(whyNotSaving(client.snapshot())).toBe('the disk is full')
    network.up = false
    network.cut()
    expect(whyNotSaving(client.snapshot())).toBeNull()
    expect(savedSumText(client.snapshot())).toBe('offline, nothing waiting')
  })
})

describe('presence', () => {
  it('[S9] is told in a version that others take for news', async () => {
    const client = await visit()
    const { awareness } = client.kitBoard!.kit
    const other = new Awareness(new Y.Doc())
    applyAwarenessUpdate(other, encodeAwarenessUpdate(awareness!, [awareness!.clientID]), 'network')
    expect([...other.getStates().keys()]).toContain(awareness!.clientID)
    other.destroy()
  })
})

describe('drafts', () => {
  it('say in words what its writer wanted', () => {
    const rejection = {
      kind: 'policy',
      path: { collection: 'cardValues', recordId: 'rook.pinion', field: 'assigned' },
      attempted: { v: 23, by: 'ilse', at: 1_800_000_000_000 },
      restored: null,
      reason: 'a mechanic may',
      at: 9,
    } as const
    const draft = (r: Rejection) => draftText({ id: 'd1', room: 'meeting-spring', rejection: r })
    expect(draft(rejection)).toBe('Card value rook, Pinion, Assigned: 23 t')
    expect(draft({ ...rejection, attempted: null })).toBe('Card value rook, Pinion, Assigned: emptied')
    expect(draft({ ...rejection, path: null, attempted: 'Pack P07' })).toBe('Pack P07')
  })

  it('a rejection is kept over a reload until it is dismissed', async () => {
    const client = await visit()
    const [socket] = network.sockets
    const path = { collection: 'packs', recordId: 'p7', field: 'label' }
    const tell = (attempted: string, at: number) =>
      socket!.onmessage?.({
        data: writeRejection({
          kind: 'policy',
          path,
          attempted,
          restored: 'P07',
          reason: 'Managers may',
          at,
        }),
      })
    tell('P7', 9)
    // [S6] The same refusal may be told again when a line breaks; another one of the same value is another draft.
    tell('P7', 9)
    expect(client.snapshot().drafts).toHaveLength(1)
    tell('P7', 10)
    expect(client.snapshot().drafts).toHaveLength(2)
    client.dismissDraft(client.snapshot().drafts[0]!.id)
    await network.settle()
    client.close()
    await network.settle()
    const again = await visit()
    expect(again.snapshot().drafts.map((d) => d.rejection.reason)).toEqual(['Managers may'])
    again.dismissDraft(again.snapshot().drafts[0]!.id)
    await network.settle()
    expect(again.snapshot().drafts).toEqual([])
  })
})

describe('snapshots and views', () => {
  it('keep their identity while nothing changed', async () => {
    const client = await visit()
    addPack(client, 'P01')
    await until(() => client.snapshot().pending === 0 && client.snapshot().store.state === 'stored')
    const before = client.snapshot()
    const view = client.kitBoard!.view()
    await network.settle()
    expect(client.snapshot()).toBe(before)
    expect(client.kitBoard!.view()).toBe(view)
    addPack(client, 'P02')
    expect(client.kitBoard!.view()).not.toBe(view)
    const [first] = view.packs.live
    expect(client.kitBoard!.view().packs.get(first!.id)).toBe(first)
  })

  it('many edits of one turn tell the board’s listeners once', async () => {
    const client = await visit()
    let told = 0
    client.kitBoard!.subscribe(() => told++)
    for (let i = 0; i < 20; i++) addPack(client, `P${i}`)
    await Promise.resolve()
    expect(told).toBe(1)
  })

  it('undo takes back the last edit of this device', async () => {
    const client = await visit()
    addPack(client, 'P01')
    expect(client.kitBoard!.canUndo).toBe(true)
    expect(client.kitBoard!.undo(session(client)).ok).toBe(true)
    expect(client.kitBoard!.view().packs.live.map((p) => p.label)).toEqual([])
    expect(client.kitBoard!.canUndo).toBe(false)
  })
})
