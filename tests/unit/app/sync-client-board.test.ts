import { describe, expect, it, vi } from 'vitest'
import { addRecord, writeField } from '@/lib/board'
import { writeRejection, writeSession } from '@/lib/sync/frames'
import type { Rejection } from '@/lib/sync/states'
import { IdbStore } from '@/app/sync/idb-store'
import type { SyncClient } from '@/app/sync/sync-client'
import {
  addPack,
  answerWith,
  assign,
  deadSpot,
  endVisit,
  gone,
  hear,
  here,
  linked,
  member,
  network,
  openedPage,
  serve,
  session,
  until,
  visit,
} from './device-visits'
import { pass, turns, whileTimersStand } from './while-timers-stand'

const active = (part: Partial<ReturnType<typeof member>> = {}) =>
  writeSession({ state: 'active', ...member(), ...part })
const stamped = (room: string) => network.room(room).doc.getMap('cardValues').get('rook.pinion:assigned')
const SPRING = 'meeting-spring'

describe('an edit of a room that perhaps no page shows', () => {
  const stamp = (client: SyncClient, room: string) =>
    client.editIn(room, ({ docs, actor }) => {
      if (docs.meeting) writeField(docs.meeting, 'cardValues', 'rook.pinion', 'assigned', { v: 5 })
      return { actor, kit: docs.kit === client.kitBoard?.kit.doc, meeting: docs.meeting }
    })

  it('of the kit sees no meeting, whichever is on screen', async () => {
    const client = await visit()
    await client.openMeeting('spring')
    const actor = { personId: 'ilse', role: 'mechanic' }
    expect(await stamp(client, 'kit')).toEqual({ actor, kit: true, meeting: null })
    const added = await client.editIn('kit', (ctx) => addRecord(ctx, 'kit', 'packs', { label: 'P01' }))
    expect([added?.ok, client.kitBoard?.view().packs.live.length]).toEqual([true, 1])
  })

  it('of the meeting on screen is made there, and leaves it open', async () => {
    const client = await visit()
    await client.openMeeting('spring')
    await network.settle()
    const done = await stamp(client, SPRING)
    expect(done?.meeting).toBe(client.meetingBoard?.meeting?.doc)
    await network.settle()
    expect([stamped(SPRING), linked()]).toEqual([{ v: 5 }, ['kit', SPRING]])
  })

  it('of another one counts until it is on the server, and then its room is closed', async () => {
    const client = await visit()
    network.room(SPRING).answers = false
    const pending: number[] = []
    client.subscribe(() => pending.push(client.snapshot().pending))
    const done = await stamp(client, SPRING)
    expect([done?.kit, client.snapshot().pending, pending.at(-1)]).toEqual([true, 1, 1])
    await network.settle()
    expect([stamped(SPRING), linked()]).toEqual([{ v: 5 }, ['kit', SPRING]])
    network.room(SPRING).answers = true
    network.cut()
    network.reconnect()
    await until(() => client.snapshot().pending === 0)
    await network.settle()
    expect(linked()).toEqual(['kit'])
  })

  it('sees what the device stores of it, and is closed at once where nothing was edited', async () => {
    const client = await visit()
    await client.openMeeting('spring')
    await network.settle()
    assign(client)
    await until(() => client.snapshot().pending === 0)
    client.closeMeeting()
    await client.stored()
    await network.settle()
    const read = await client.editIn(SPRING, ({ docs }) => docs.meeting?.getMap('cardValues').size)
    await network.settle()
    expect([read, linked()]).toEqual([1, ['kit']])
  })

  it('is not made where nobody has joined, and leaves no room open', async () => {
    answerWith(here(null))
    const stranger = await visit()
    const edit = vi.fn()
    expect(await stranger.editIn('kit', edit)).toBeNull()
    expect(await stranger.editIn(SPRING, edit)).toBeNull()
    answerWith(here(member()))
    const client = await visit()
    const making = client.editIn(SPRING, edit)
    client.close()
    expect(await making).toBeNull()
    expect(edit).not.toHaveBeenCalled()
    await network.settle()
    expect(linked()).toEqual([])
  })

  it('is not made by a phone that was put out, and its rooms stay closed', async () => {
    const client = await visit()
    hear(writeSession({ state: 'revoked', reason: 'Sent away' }))
    expect(await client.editIn('kit', () => 1)).toBeNull()
    expect(await client.editIn(SPRING, () => 1)).toBeNull()
  })
})

describe('a meeting on screen', () => {
  it('is one room, however often it is asked for while it loads', async () => {
    const client = await visit()
    await Promise.all([client.openMeeting('spring'), client.openMeeting('spring')])
    const board = client.meetingBoard
    await client.openMeeting('spring')
    await network.settle()
    expect([client.meetingBoard === board, client.meetingBoard?.kit]).toEqual([true, client.kitBoard?.kit])
    expect(linked()).toEqual(['kit', SPRING])
  })

  it('is named before it is there; one that another takes the place of while it loads is never shown', async () => {
    const client = await visit()
    const seen = new Set<string | undefined>()
    client.subscribe(() => seen.add(client.meetingBoard?.meeting?.room))
    const first = client.openMeeting('spring')
    expect([client.snapshot().meetingId, client.meetingBoard]).toEqual(['spring', null])
    const second = client.openMeeting('autumn')
    await Promise.all([first, second])
    await network.settle()
    expect([...seen]).toEqual([undefined, 'meeting-autumn'])
    expect(linked()).toEqual(['kit', 'meeting-autumn'])
  })

  it('that is left while it loads is not shown', async () => {
    const client = await visit()
    const opening = client.openMeeting('spring')
    client.closeMeeting()
    await opening
    await network.settle()
    expect([client.meetingBoard, client.snapshot().meetingId, linked()]).toEqual([null, null, ['kit']])
  })

  it('that is opened on a page that closes is not shown', async () => {
    const client = await visit()
    const opening = client.openMeeting('spring')
    client.close()
    await opening
    await network.settle()
    expect([client.meetingBoard, linked()]).toEqual([null, []])
  })

  it('is left by a screen of another meeting as it is, and told when it is closed', async () => {
    const client = await visit()
    await client.openMeeting('spring')
    let told = 0
    client.subscribe(() => told++)
    client.closeMeeting('autumn')
    expect([told, client.snapshot().meetingId]).toEqual([0, 'spring'])
    const board = client.meetingBoard!
    const heard = vi.fn()
    board.subscribe(heard)
    client.closeMeeting()
    expect([client.snapshot().meetingId, client.snapshot().meeting]).toEqual([null, null])
    expect(told).toBeGreaterThan(0)
    writeField(board.kit.doc, 'cars', 'rook', 'name', 'Rook')
    await turns()
    expect(heard).not.toHaveBeenCalled()
  })

  it('is not connected while the server has not said who we are', async () => {
    const first = await visit()
    await endVisit(first)
    answerWith(gone)
    const client = openedPage(async () => gone, { askAgainAfter: 1e9 })
    await client.start()
    await client.openMeeting('spring')
    await network.settle()
    expect([client.meetingBoard?.meeting?.room, linked()]).toEqual([SPRING, []])
  })
})

describe('[S11] what the server says of who we are', () => {
  it('is no news where it is the same', async () => {
    const client = await visit()
    await client.stored()
    const [before, setSession] = [client.snapshot(), vi.spyOn(IdbStore.prototype, 'setSession')]
    hear(active())
    expect([client.snapshot() === before, setSession.mock.calls.length]).toEqual([true, 0])
  })

  it.each([
    ['role', { role: 'guest' as const }],
    ['name', { name: 'Ilse B.' }],
    ['person', { personId: 'maren' }],
    ['device', { deviceId: 'phone-2' }],
  ])('is taken in and stored where its %s is another, without the board’s version', async (_, part) => {
    const client = await visit()
    const board = { generation: 'one', protocol: 1, schema: 's' }
    hear(writeSession({ state: 'active', ...member(), ...part, board }))
    const next = { state: 'active', ...member(), ...part }
    expect(session(client)).toEqual(next)
    await client.stored()
    const other = new IdbStore()
    expect(await other.session()).toEqual(next)
    other.close()
  })

  it('is the last word once it put the phone out', async () => {
    const client = await visit()
    const [socket] = network.sockets
    hear(writeSession({ state: 'revoked', reason: 'Sent away' }))
    const out = { state: 'revoked', reason: 'Sent away', unsent: [] }
    socket?.onmessage?.({ data: writeSession({ state: 'revoked', reason: 'Once more' }) })
    socket?.onmessage?.({ data: active() })
    expect(client.snapshot()).toMatchObject({ membership: out, kit: null, online: false, pending: 0 })
  })

  it('says nothing to a page that is closed', async () => {
    const client = await visit()
    const [socket] = network.sockets
    client.close()
    const setSession = vi.spyOn(IdbStore.prototype, 'setSession')
    socket?.onmessage?.({ data: active({ name: 'Else' }) })
    expect(session(client).name).toBe('ilse')
    expect(setSession).not.toHaveBeenCalled()
  })
})

describe('[S21] a page that is older than the board', () => {
  const open = async (build?: string) => {
    const client = openedPage(async () => here(member()), build === undefined ? {} : { build })
    await client.start()
    await network.settle()
    return client
  }
  const again = async (...version: Parameters<typeof serve>) => {
    serve(...version)
    network.cut()
    network.reconnect()
    await network.settle()
  }

  it('is told so, once, and no more when it is right again', async () => {
    serve('one', { protocol: 99 })
    const client = await open()
    const told = client.snapshot().outdated
    expect(told).toEqual({ board: expect.stringContaining('99') as string, understands: false })
    await client.openMeeting('spring')
    await network.settle()
    expect(client.snapshot().outdated).toBe(told)
    await again('one', { protocol: 98 })
    expect(client.snapshot().outdated?.board).toContain('98')
    await again('one')
    expect(client.snapshot().outdated).toBeNull()
  })

  it('by its build alone understands it', async () => {
    serve('one', { build: 'b2' })
    expect((await open('b1')).snapshot().outdated?.understands).toBe(true)
    expect((await open('b2')).snapshot().outdated).toBeNull()
    expect((await open()).snapshot().outdated).toBeNull()
  })
})

describe('what the board did not take', () => {
  const refusal: Rejection = {
    kind: 'policy',
    path: { collection: 'packs', recordId: 'p7', field: 'label' },
    attempted: 'P7',
    restored: null,
    reason: 'Managers may',
    at: 9,
  }

  it('is a draft in words, with the names of the kit', async () => {
    const kit = network.room('kit').doc
    writeField(kit, 'cars', 'rook', 'name', 'Rook 4WD')
    writeField(kit, 'packs', 'p7', 'label', 'P07')
    const client = await visit()
    await client.openMeeting('spring')
    await network.settle()
    hear(writeRejection(refusal))
    hear(
      writeRejection({
        ...refusal,
        path: { collection: 'cardValues', recordId: 'rook.pinion', field: 'assigned' },
        attempted: { v: 23, by: 'ilse', at: 1 },
      }),
      SPRING,
    )
    const drafts = client.snapshot().drafts.map(({ room, words }) => ({ room, words }))
    expect(drafts).toEqual([
      { room: SPRING, words: expect.stringMatching(/Rook 4WD.*23 t/) as string },
      { room: 'kit', words: 'Pack P07, Pack label: P7' },
    ])
  })

  it('as a whole has no words', async () => {
    const client = await visit()
    hear(writeRejection({ ...refusal, kind: 'too-large', path: null, attempted: null }))
    const [draft] = client.snapshot().drafts
    expect(draft).toMatchObject({ room: 'kit', rejection: { kind: 'too-large' } })
    expect(draft).not.toHaveProperty('words')
  })
})

describe('what is only on this phone', () => {
  it('is said with the names of the kit, of a meeting on screen too', async () => {
    writeField(network.room('kit').doc, 'cars', 'rook', 'name', 'Rook 4WD')
    const client = await visit()
    await client.openMeeting('spring')
    await network.settle()
    deadSpot()
    assign(client)
    expect(client.unsent()).toEqual([expect.stringMatching(/Rook 4WD.*23 t/)])
  })
})

describe('the device’s store under a page', () => {
  it(
    'that hangs is waited for three seconds',
    whileTimersStand(async () => {
      const client = await visit()
      vi.spyOn(IdbStore.prototype, 'settled').mockReturnValue(new Promise(() => undefined))
      let isOver = false
      const stored = client.stored().then(() => (isOver = true))
      await pass(2999)
      expect(isOver).toBe(false)
      await pass(1)
      expect(await stored).toBe(true)
    }),
  )

  it(
    'that answers leaves nothing to wait for',
    whileTimersStand(async () => {
      const client = openedPage(async () => gone, { askAgainAfter: 1e9 })
      await client.start()
      const before = vi.getTimerCount()
      await client.stored()
      expect(vi.getTimerCount()).toBe(before)
    }),
  )

  it('that was lost is told who we are, where we are anybody', async () => {
    const store = new IdbStore()
    const reopened: (() => void)[] = []
    vi.spyOn(store, 'onReopened').mockImplementation((listener) => {
      reopened.push(listener)
      return () => undefined
    })
    const setSession = vi.spyOn(store, 'setSession')
    const client = openedPage(async () => here(member()), { store })
    reopened.forEach((tell) => tell())
    expect(setSession).not.toHaveBeenCalled()
    await client.start()
    setSession.mockClear()
    reopened.forEach((tell) => tell())
    expect(setSession.mock.calls).toEqual([[{ state: 'active', ...member() }]])
  })

  it('tells its state to whoever watches, and is left and closed with the page', async () => {
    const store = new IdbStore()
    const [leave, close] = [vi.spyOn(store, 'leave'), vi.spyOn(store, 'close')]
    const client = openedPage(async () => here(member()), { store })
    await client.start()
    await network.settle()
    await client.stored()
    const seen = new Set<string>()
    const stop = client.subscribe(() => seen.add(client.snapshot().store.state))
    addPack(client, 'P01')
    await client.stored()
    expect([...seen]).toEqual(['storing', 'stored'])
    stop()
    client.leave()
    expect(leave).toHaveBeenCalledTimes(1)
    const told = vi.fn()
    client.subscribe(told)
    client.close()
    expect([close.mock.calls.length, told.mock.calls.length]).toEqual([1, 0])
    expect(linked()).toEqual([])
  })
})
