import { describe, expect, it } from 'vitest'
import * as Y from 'yjs'
import { writeField } from '@/lib/board'
import { PROTOCOL_VERSION, type BoardVersion } from '@/lib/sync/states'
import type { MovedRoom } from '@/app/sync/client-store'
import { device, roomTabs } from './room-tabs'

const { network, openTab } = roomTabs()
const member = { state: 'active', personId: 'p', name: 'Ilse', role: 'mechanic', deviceId: 'd' } as const
const version = (generation: string): BoardVersion => ({
  generation,
  protocol: PROTOCOL_VERSION,
  schema: 's',
})
/** The server's board is of this generation from the next socket on. */
const serve = (generation: string) => void (network().session = { ...member, board: version(generation) })
const said = () => network().room('kit').generations
/** What somebody else made, as an update of either encoding. */
const others = (name: string) => {
  const doc = new Y.Doc()
  writeField(doc, 'cars', name, 'name', name)
  return { one: Y.encodeStateAsUpdate(doc), two: Y.encodeStateAsUpdateV2(doc) }
}
const nothing = (): MovedRoom => ({ update: null, pending: [], own: [], drafts: [] })

describe('[S23] which life of the board a page holds', () => {
  it('is the server’s where it holds nothing; it says so, and stores it', async () => {
    serve('one')
    const { room, store, heard } = await openTab()
    expect([room.life, said(), heard.unfit]).toEqual(['one', ['one'], []])
    expect(heard.versions).toEqual([version('one')])
    expect(heard.sessions).toEqual([member])
    await store.settled()
    expect((await store.read('kit', 0)).life).toBe('one')
    expect(room.isCurrent).toBe(true)
  })

  it('is the server’s where all that it holds is its own', async () => {
    serve('one')
    const { room, rename } = await openTab(undefined, { connect: false })
    rename('rook', 'Rook')
    room.connect()
    await network().settle()
    expect([room.life, said()]).toEqual(['one', ['one']])
  })

  it('is the server’s, but not claimed, where others’ edits were stored before lives were', async () => {
    serve('one')
    const first = await openTab(undefined, { connect: false })
    first.store.append('kit', others('heron').one, [])
    await first.store.settled()
    first.close()
    const { room, heard, store } = await openTab()
    expect([room.life, said(), heard.unfit]).toEqual(['one', [], []])
    await store.settled()
    expect((await store.read('kit', 0)).life).toBe('one')
  })

  it('is said on every socket, also of a copy begun anew within it', async () => {
    serve('one')
    const first = await openTab(undefined, { connect: false })
    await first.store.move('kit', null, 'one#2', nothing)
    first.close()
    const { room, heard } = await openTab()
    network().cut()
    network().reconnect()
    await network().settle()
    expect([room.life, said(), heard.unfit]).toEqual(['one#2', ['one', 'one'], []])
  })

  it('is another one than the server’s after a restore: it talks no more, and is told once', async () => {
    serve('one')
    const { room, heard, rename } = await openTab()
    rename('rook', 'Rook')
    await network().settle()
    serve('two')
    network().cut()
    writeField(network().room('kit').doc, 'cars', 'heron', 'name', 'Heron')
    network().reconnect()
    await network().settle()
    expect([heard.unfit, said(), room.life]).toEqual([['server'], ['one'], 'one'])
    expect(room.doc.getMap('cars').has('heron:name')).toBe(false)
    expect(room.isCurrent).toBe(false)
    // What the server serves is heard all the same.
    network().cut()
    network().reconnect()
    await network().settle()
    expect([heard.unfit, heard.versions.map((v) => v.generation)]).toEqual([
      ['server'],
      ['one', 'two', 'two'],
    ])
  })

  it('is another one because another tab began anew: nothing of that flows into it', async () => {
    serve('one')
    const bell = device()
    const a = await openTab(bell())
    const b = await openTab(bell())
    await a.store.settled()
    await a.store.move('kit', 'one', 'two', () => ({ ...nothing(), update: others('heron').two }))
    await network().settle()
    expect(b.heard.unfit).toEqual(['elsewhere'])
    expect(b.room.doc.getMap('cars').size).toBe(0)
    expect(b.room.life).toBe('one')
    // The next ring says nothing new.
    await a.store.move('kit', 'two', 'three', nothing)
    await network().settle()
    expect(b.heard.unfit).toEqual(['elsewhere'])
  })

  it('is learned from what is stored, and a ring of the same life is no news', async () => {
    const bell = device()
    const a = await openTab(bell(), { connect: false })
    const b = await openTab(bell(), { connect: false })
    a.store.append('kit', others('heron').one, [{ key: 'cars|heron:name', token: 'x:1' }], {
      life: 'one',
      clientId: 5,
    })
    await a.store.settled()
    await network().settle()
    expect([b.room.life, b.heard.unfit, b.room.doc.getMap('cars').size]).toEqual(['one', [], 1])
    expect([...(b.room.held.own ?? [])]).toEqual([b.room.doc.clientID, 5])
    a.store.append('kit', others('rook').one, [{ key: 'cars|rook:name', token: 'x:2' }])
    await a.store.settled()
    await network().settle()
    expect([b.heard.unfit, b.room.doc.getMap('cars').size]).toEqual([[], 2])
  })
})

describe('[S23] a room that begins with what it is given', () => {
  it('holds it before anything is loaded', async () => {
    const update = others('heron').one
    const bell = device()
    const other = await openTab(bell(), { connect: false })
    const { room, heard } = await openTab(bell(), {
      connect: false,
      seed: {
        updates: [{ id: 0, room: 'kit', encoding: 1, update, local: false }],
        pending: [{ key: 'cars|heron:name', token: 'moved:1', base: { was: 1 } }],
        life: 'two',
        own: [5],
      },
    })
    expect(room.doc.getMap('cars').get('heron:name')).toBe('heron')
    expect([room.life, room.snapshot.hasContent]).toEqual(['two', true])
    expect(room.held.own).toEqual(new Set([room.doc.clientID, 5]))
    // What is stored says nothing of its life: that is no other one.
    other.store.append('kit', others('kite').one, [{ key: 'cars|kite:name', token: 'x:1' }])
    await other.store.settled()
    await network().settle()
    expect([heard.unfit, room.doc.getMap('cars').has('kite:name')]).toEqual([[], true])
  })
})

describe('[S23] what a page holds', () => {
  it('is all that waits, and of it what this tab made; each with what stood there before', async () => {
    writeField(network().room('kit').doc, 'cars', 'rook', 'name', 'Rook')
    const bell = device()
    const a = await openTab(bell())
    const b = await openTab(bell())
    network().room('kit').answers = false
    a.rename('rook', 'Rook 4WD')
    a.rename('rook', 'Rook 2WD')
    await a.store.settled()
    await network().settle()
    b.rename('wren', 'Wren')
    const here = (tab: typeof a) => tab.room.heldHere.pending.map((t) => [t.key, t.base])
    const all = (tab: typeof a) => tab.room.held.pending.map((t) => [t.key, t.base])
    const [rook, wren] = [
      ['cars|rook:name', { was: 'Rook' }],
      ['cars|wren:name', { was: undefined }],
    ]
    expect([all(b), here(b)]).toEqual([[rook, wren], [wren]])
    expect(here(a)).toEqual([rook])
    expect([b.room.held.doc, b.room.heldHere.doc]).toEqual([b.room.doc, b.room.doc])
    await b.store.settled()
    expect((await b.store.read('kit', 0)).pending.map((t) => [t.key, t.base])).toEqual([rook, wren])
  })
})

describe('a meeting that the server does not have', () => {
  it('leaves what is held of it stranded, until the server lets it in', async () => {
    const { room, rename } = await openTab()
    rename('rook', 'Rook')
    await network().settle()
    let told = 0
    room.subscribe(() => told++)
    network().cut(1006)
    expect([room.isStranded, told > 0]).toEqual([false, true])
    network().reconnect()
    await network().settle()
    network().cut(4530)
    expect(room.isStranded).toBe(true)
    network().reconnect()
    await network().settle()
    expect(room.isStranded).toBe(true)
    serve('one')
    network().cut()
    network().reconnect()
    await network().settle()
    expect(room.isStranded).toBe(false)
  })

  it('tells so in the moment in which it is known', async () => {
    const { room, rename } = await openTab()
    rename('rook', 'Rook')
    await network().settle()
    const seen: boolean[] = []
    room.subscribe(() => seen.push(room.isStranded))
    network().cut(4530)
    expect(seen).toContain(true)
  })

  it('strands nothing where nothing is held, or the page is closed', async () => {
    const empty = await openTab()
    network().cut(4530)
    expect(empty.room.isStranded).toBe(false)
    empty.rename('rook', 'Rook')
    expect(empty.room.isStranded).toBe(true)
    empty.close()
    expect(empty.room.isStranded).toBe(false)
  })
})
