import { describe, expect, it, vi } from 'vitest'
import * as Y from 'yjs'
import { writeField } from '@/lib/board'
import { IdbStore } from '@/app/sync/idb-store'
import {
  addPack,
  answerWith,
  assign,
  deadSpot,
  endVisit,
  gone,
  here,
  linked,
  member,
  network,
  serve,
  serverPacks,
  until,
  visit,
} from './device-visits'

const SPRING = 'meeting-spring'
const AUTUMN = 'meeting-autumn'

/** The board of another generation takes the place of the server's. */
function restore(generation: string, ...rooms: string[]) {
  for (const name of ['kit', ...rooms]) network.room(name).doc = new Y.Doc()
  const kit = network.room('kit').doc
  for (const id of ['spring', 'autumn']) writeField(kit, 'meetings', id, 'name', id)
  writeField(kit, 'packs', 'p0', 'label', 'P00')
  serve(generation)
}
const opened = async () => {
  serve('one')
  const client = await visit()
  await client.openMeeting('spring')
  await network.settle()
  return client
}
type Page = Awaited<ReturnType<typeof opened>>
const settledIn = (client: Page, generation: string) =>
  until(
    () =>
      client.snapshot().generation === generation &&
      client.snapshot().pending === 0 &&
      client.snapshot().online,
  )
const labels = (client: Page) =>
  client.kitBoard
    ?.view()
    .packs.live.map((p) => p.label)
    .sort()

describe('[S23] a restored board', () => {
  it('takes the place of both documents on screen, with what was not sent', async () => {
    const client = await opened()
    addPack(client, 'P01')
    await until(() => client.snapshot().pending === 0)
    deadSpot()
    addPack(client, 'P02')
    assign(client)
    const [kit, meeting] = [client.kitBoard!, client.meetingBoard!]
    const told = vi.fn()
    kit.subscribe(told)
    meeting.subscribe(told)
    restore('two', SPRING)
    network.reconnect()
    await settledIn(client, 'two')
    expect(client.kitBoard).not.toBe(kit)
    expect(client.meetingBoard).not.toBe(meeting)
    expect(client.meetingBoard?.kit).toBe(client.kitBoard?.kit)
    expect(client.meetingBoard?.meeting?.isClosed).toBe(false)
    expect([kit.kit.isClosed, meeting.meeting?.isClosed]).toEqual([true, true])
    expect(labels(client)).toEqual(['P00', 'P02'])
    expect([...serverPacks()].sort()).toEqual(['P00', 'P02'])
    expect(network.room(SPRING).doc.getMap('cardValues').get('rook.pinion:assigned')).toMatchObject({ v: 23 })
    expect(client.snapshot().drafts.map((d) => d.rejection)).toMatchObject([
      { attempted: 'P01', at: expect.any(Number) as number },
    ])
    expect(linked()).toEqual(['kit', SPRING])
    // Whoever listened to the old boards is told nothing of the new ones.
    told.mockClear()
    addPack(client, 'P03')
    assign(client, 24)
    await network.settle()
    expect(told).not.toHaveBeenCalled()
    expect(client.meetingBoard?.view().packs.live).toHaveLength(3)
    expect(network.room(SPRING).doc.getMap('cardValues').get('rook.pinion:assigned')).toMatchObject({ v: 24 })
  })

  it('takes the place of the kit alone where no meeting is open', async () => {
    serve('one')
    const client = await visit()
    const kit = client.kitBoard
    restore('two')
    network.cut()
    network.reconnect()
    await settledIn(client, 'two')
    expect([client.kitBoard === kit, client.meetingBoard, labels(client)]).toEqual([false, null, ['P00']])
  })

  it('takes the place of a meeting that was left with an edit, which reaches it', async () => {
    const client = await opened()
    deadSpot()
    assign(client)
    client.closeMeeting()
    await client.openMeeting('autumn')
    restore('two', SPRING, AUTUMN)
    network.reconnect()
    await settledIn(client, 'two')
    await network.settle()
    expect(network.room(SPRING).doc.getMap('cardValues').has('rook.pinion:assigned')).toBe(true)
    expect([linked(), client.meetingBoard?.meeting?.room]).toEqual([['kit', AUTUMN], AUTUMN])
  })

  it('is sent what an earlier visit left in a meeting that no page opens', async () => {
    const first = await opened()
    deadSpot()
    assign(first)
    await endVisit(first)
    answerWith(gone)
    restore('two', SPRING)
    network.up = true
    answerWith(here(member()))
    const client = await visit()
    await settledIn(client, 'two')
    await until(() => network.room(SPRING).doc.getMap('cardValues').has('rook.pinion:assigned'))
    await network.settle()
    expect([client.snapshot().pending, linked()]).toEqual([0, ['kit']])
  })

  it('is sent what a page that is gone stored unsent meanwhile', async () => {
    serve('one')
    const client = await visit()
    const gone = new IdbStore()
    const doc = new Y.Doc()
    writeField(doc, 'cardValues', 'rook.pinion', 'assigned', { v: 25 })
    const key = 'cardValues|rook.pinion:assigned'
    gone.append(SPRING, Y.encodeStateAsUpdate(doc), [{ key, token: 'x:1', base: { was: undefined } }], {
      life: 'one',
      clientId: doc.clientID,
    })
    await gone.settled()
    gone.close()
    restore('two', SPRING)
    network.cut()
    network.reconnect()
    await until(() => network.room(SPRING).doc.getMap('cardValues').has('rook.pinion:assigned'))
    await settledIn(client, 'two')
    await network.settle()
    expect(linked()).toEqual(['kit'])
  })

  it('has meetings of the device moved that hold nothing unsent, and opens none of them', async () => {
    const first = await opened()
    assign(first)
    await until(() => first.snapshot().pending === 0)
    await endVisit(first)
    restore('two', SPRING)
    const client = await visit()
    await settledIn(client, 'two')
    await until(() => client.snapshot().drafts.length > 0)
    expect(client.snapshot().drafts).toMatchObject([{ room: SPRING, rejection: { kind: 'lost' } }])
    await network.settle()
    expect(linked()).toEqual(['kit'])
  })

  it('finds a page that is closed meanwhile as it was', async () => {
    const client = await opened()
    const kit = client.kitBoard!.kit
    restore('two', SPRING)
    network.cut()
    network.reconnect()
    for (let i = 0; i < 3; i++) {
      await new Promise((resolve) => setImmediate(resolve))
      network.step()
    }
    client.close()
    await network.settle()
    expect([kit.isClosed, kit.life, linked()]).toEqual([true, 'one', []])
  })

  it('lets go of a meeting that was left while it began anew', async () => {
    const client = await opened()
    restore('two', SPRING)
    network.cut()
    network.reconnect()
    await until(() => client.snapshot().generation === 'two')
    client.closeMeeting()
    await settledIn(client, 'two')
    await network.settle()
    expect([client.meetingBoard, linked()]).toEqual([null, ['kit']])
  })
})
