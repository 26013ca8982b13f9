import 'fake-indexeddb/auto'
import { describe, expect, it } from 'vitest'
import { changeRecord, writeField } from '@/lib/board'
import { writeSession } from '@/lib/sync/frames'
import { IdbStore } from '@/app/sync/idb-store'
import { SyncClient } from '@/app/sync/sync-client'
import { CLOSE } from '@/lib/sync/close-codes'
import { savedSumText } from '@/app/ui/shell/saved-sum'
import {
  answer,
  answerWith,
  assign,
  clients,
  deadSpot,
  gone,
  here,
  linked,
  member,
  network,
  serve,
  session,
  until,
  visit,
} from './device-visits'

describe('meetings', () => {
  /** An edit of the meeting that the server does not get for now. */
  const assignInDeadSpot = async (client: SyncClient) => {
    await client.openMeeting('spring')
    await network.settle()
    deadSpot()
    assign(client)
  }

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
    expect(linked()).toEqual(['kit', 'meeting-autumn'])
  })

  it('[S16] a meeting that opens while the app starts asks with what this device has of it: nothing is stored twice', async () => {
    const spring = network.room('meeting-spring').doc
    for (let i = 0; i < 50; i++) writeField(spring, 'cardValues', `rook.pinion${i}`, 'assigned', { v: i })
    const rows = async () => {
      const store = new IdbStore()
      const { updates } = await store.read('meeting-spring', 0)
      store.close()
      return updates.length
    }
    /** A page that opens its meeting as soon as it knows who it is. */
    const open = async () => {
      const client = new SyncClient({
        store: new IdbStore(),
        createProvider: network.createProvider,
        askSession: async () => answer,
      })
      clients.push(client)
      const stop = client.subscribe(() => {
        if (client.snapshot().membership.state !== 'member') return
        stop()
        void client.openMeeting('spring')
      })
      await client.start()
      await until(() => client.snapshot().meeting?.connection === 'live')
      await network.settle()
      await client.stored()
      client.close()
      await network.settle()
    }
    answerWith(here(member()))
    await open()
    const first = await rows()
    expect(first).toBeGreaterThan(0)
    await open()
    await open()
    expect(await rows()).toBe(first)
  })

  it('[S8] an edit that is not saved yet counts in the sum on every page, and leaves from every page', async () => {
    const client = await visit()
    await assignInDeadSpot(client)
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
    expect(linked()).toEqual(['kit'])
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
    await assignInDeadSpot(client)
    await client.stored()
    const other = new IdbStore()
    expect(await other.allPending()).toEqual([expect.objectContaining({ room: 'meeting-spring' })])
    other.close()
  })

  it('[S8] [S16] an edit of an earlier visit leaves without its meeting being opened', async () => {
    const first = await visit()
    await assignInDeadSpot(first)
    await network.settle()
    first.close()
    await network.settle()

    answerWith(gone)
    const second = await visit()
    expect(second.snapshot().pending).toBe(1)
    network.up = true
    answerWith(here(member()))
    await until(() => second.snapshot().pending === 0)
    await network.settle()
    expect(network.room('meeting-spring').doc.getMap('cardValues').has('rook.pinion:assigned')).toBe(true)
    expect(linked()).toEqual(['kit'])
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
    client.subscribe(() => said.push(savedSumText(client.snapshot(), 0)))
    expect(savedSumText(client.snapshot(), 0)).toBe('all saved on the server')
    const opening = client.openMeeting('spring')
    expect(savedSumText(client.snapshot(), 0)).toBe('loading the board')
    await opening
    // Connected, and nothing has come yet.
    await Promise.resolve()
    expect(client.snapshot().meeting).toMatchObject({ connection: 'live', hasContent: false })
    expect(client.snapshot().online).toBe(true)
    expect(new Set(said)).toEqual(new Set(['loading the board']))
    await network.settle()
    expect(savedSumText(client.snapshot(), 0)).toBe('all saved on the server')
  })

  it('of a meeting that neither the server nor this device knows nothing is waited for', async () => {
    const client = await visit()
    await client.openMeeting('winter')
    await Promise.resolve()
    for (const socket of [...network.sockets]) {
      if (socket.room.name !== 'meeting-winter') continue
      network.sockets.delete(socket)
      socket.onclose?.({ code: CLOSE.noMeeting, reason: '' })
    }
    expect(client.snapshot().meeting).toMatchObject({ isUnknown: true, hasContent: false })
    expect(client.snapshot()).toMatchObject({ online: true, fetching: false })
    expect(savedSumText(client.snapshot(), 0)).toBe('all saved on the server')
    // It was made meanwhile.
    serve('one')
    network.reconnect()
    await network.settle()
    expect(client.snapshot().meeting).toMatchObject({ isUnknown: false, hasContent: true })
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
