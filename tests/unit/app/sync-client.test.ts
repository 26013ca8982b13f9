import 'fake-indexeddb/auto'
import { describe, expect, it } from 'vitest'
import { applyAwarenessUpdate, Awareness, encodeAwarenessUpdate } from 'y-protocols/awareness'
import * as Y from 'yjs'
import { schemaVersion } from '@/lib/board'
import { writeRejection, writeRoomState, writeSession } from '@/lib/sync/frames'
import { PROTOCOL_VERSION, type Rejection } from '@/lib/sync/states'
import { whyNotSaving } from '@/app/sync/sync-snapshot'
import { draftText } from '@/app/ui/shell/drafts'
import { savedSumText } from '@/app/ui/shell/saved-sum'

import {
  network,
  answerWith,
  member,
  here,
  gone,
  visit,
  session,
  addPack,
  serverPacks,
  until,
} from './device-visits'

describe('who we are', () => {
  it('a device that never joined is a stranger', async () => {
    answerWith(here(null))
    expect((await visit()).snapshot().membership).toEqual({ state: 'stranger' })
    expect(network.sockets.size).toBe(0)
  })

  it('never joined and no server: unreachable, until the server answers', async () => {
    answerWith(gone)
    const client = await visit()
    expect(client.snapshot().membership.state).toBe('unreachable')
    answerWith(here(member()))
    await until(() => client.snapshot().online)
  })

  it('joined before and no server: the board opens from the device’s store, and nothing is connected', async () => {
    const first = await visit()
    addPack(first, 'P01')
    await network.settle()
    first.close()
    await network.settle()
    answerWith(gone)
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
    answerWith(here(null))
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
    answerWith(here(member('driver', 'maren', 'phone-2')))
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
    answerWith(here(member('manager')))
    const second = await visit()
    await network.settle()
    expect(serverPacks()).toEqual(['P07'])
    expect(session(second).role).toBe('manager')
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
    expect(savedSumText(client.snapshot(), 0)).toBe('offline, nothing waiting')
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
