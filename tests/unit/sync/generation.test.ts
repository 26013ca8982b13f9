import { describe, expect, it } from 'vitest'
import * as encoding from 'lib0/encoding'
import * as Y from 'yjs'
import { FRAME } from '@/lib/sync/frames'
import { PROTOCOL_VERSION } from '@/lib/sync/states'
import { MemoryStore } from '@/server/storage/memory-store'
import { emptyBatch, type Store } from '@/server/storage/store'
import { frame, storedBoard, syncDesk, type Phone } from './sync-desk'

const ROOM = 'meeting-m1'
const copyOf = (doc: Y.Doc): Y.Doc => {
  const copy = new Y.Doc()
  Y.applyUpdate(copy, Y.encodeStateAsUpdate(doc))
  return copy
}
const authorsOf = (store: Store) => store.load(ROOM).authors

/** A store with what another holds now, as a restore from a backup makes it. */
function restored(from: Store, generation = 'second'): MemoryStore {
  const store = new MemoryStore(undefined, generation)
  const { updates, authors } = from.load(ROOM)
  store.commit({
    ...emptyBatch(),
    updates: updates.map((update) => ({ room: ROOM, update, at: 1 })),
    authors: [...authors].map(([clientId, personId]) => ({ room: ROOM, clientId, personId })),
  })
  return store
}

/** Ten edits of a mechanic after the backup, which a driver's phone has received. */
function afterTheBackup() {
  const before = syncDesk()
  const earlier = before.phone('mechanic', 'mo')
  earlier.set('notes', 'n0:text', 'before')
  before.endTurn()
  // Another visit of the same person: its clientID is not in the backup.
  const [mechanic, driver] = [before.phone('mechanic', 'mo'), before.phone('driver', 'di')]
  const desk = syncDesk({ store: restored(before.store) })
  for (let i = 1; i <= 10; i++) mechanic.set('notes', `n${i}:text`, `after ${i}`)
  before.endTurn()
  expect(driver.get('notes', 'n10:text')).toBe('after 10')
  return { desk, mechanic: mechanic.doc, driver: driver.doc }
}
/** Be present under a clientID, as the stock provider is under its document's before it answers anything. */
const beThere = (phone: Phone, clientId = phone.doc.clientID) =>
  phone.send(
    frame(FRAME.awareness, (e) => {
      const body = encoding.createEncoder()
      for (const n of [1, clientId, 1]) encoding.writeVarUint(body, n)
      encoding.writeVarString(body, '{}')
      encoding.writeVarUint8Array(e, encoding.toUint8Array(body))
    }),
  )
const notes = (store: Store) => Object.values(storedBoard(store)['notes'] ?? {})
const later = (from: Y.Doc, write: (doc: Y.Doc) => void): Y.Doc => {
  const visit = copyOf(from)
  write(visit)
  return visit
}

describe('[S23] a board that was restored', () => {
  it('[S21] says first of all which life of the board it is, and what it speaks', () => {
    const desk = syncDesk({ store: new MemoryStore(undefined, 'second') })
    const phone = desk.phone('driver')
    const { board } = phone.sessionStates[0] as { board: object }
    expect(board).toEqual({
      generation: 'second',
      protocol: PROTOCOL_VERSION,
      schema: expect.any(String),
      build: '',
    })
  })

  it('claims nothing for a phone that passes on what others wrote, and their later edits are taken', () => {
    const { desk, mechanic, driver } = afterTheBackup()
    const first = desk.phone('driver', 'di', ROOM, new Y.Doc())
    beThere(first, driver.clientID)
    first.sendUpdate(Y.encodeStateAsUpdate(driver))
    desk.endTurn()
    expect(first.rejections.map((r) => r.kind)).toContain('authorship')
    expect(authorsOf(desk.store).has(mechanic.clientID)).toBe(false)
    expect(notes(desk.store)).toEqual(['before'])
    const mo = desk.phone('mechanic', 'mo', ROOM, mechanic)
    mo.set('notes', 'n11:text', 'next')
    mo.barrier()
    desk.endTurn()
    expect(mo.rejections).toEqual([])
    expect(mo.acked).toBe(1)
    expect(notes(desk.store)).toHaveLength(12)
  })

  it('takes nothing at all from a phone that says that it holds another life', () => {
    const { desk, mechanic } = afterTheBackup()
    const phone = desk.phone('mechanic', 'mo', ROOM, mechanic, 'first')
    phone.set('notes', 'n0:text', 'over the restored one')
    phone.barrier()
    desk.endTurn()
    expect(phone.rejections.map((r) => r.kind)).toContain('generation')
    expect(phone.acked).toBe(0)
    expect(notes(desk.store)).toEqual(['before'])
    expect(authorsOf(desk.store).size).toBe(1)
  })

  it('takes what several visits and tabs made offline, each under its own clientID, from a phone that says so', () => {
    const desk = syncDesk()
    const one = later(new Y.Doc(), (d) => d.getMap('notes').set('a:text', 'one'))
    const two = later(one, (d) => d.getMap('notes').set('b:text', 'two'))
    const says = desk.phone('mechanic', 'mo', ROOM, copyOf(two), desk.store.generation)
    desk.endTurn()
    expect(says.rejections).toEqual([])
    expect(notes(desk.store)).toEqual(['one', 'two'])
    const silent = syncDesk()
    const phone = silent.phone('mechanic', 'mo', ROOM, copyOf(two))
    silent.endTurn()
    expect(phone.rejections.map((r) => r.kind)).toContain('authorship')
    expect(authorsOf(silent.store).size).toBe(0)
  })

  it('a phone that says nothing writes under one clientID, the one it is present with', () => {
    const desk = syncDesk()
    const phone = desk.phone('mechanic', 'mo')
    beThere(phone)
    const foreign = new Y.Doc()
    foreign.getMap('notes').set('x:text', 'passed on')
    phone.sendUpdate(Y.encodeStateAsUpdate(foreign))
    desk.endTurn()
    expect(phone.rejections.map((r) => r.kind)).toEqual(['authorship'])
    phone.set('notes', 'a:text', 'own')
    desk.endTurn()
    expect(phone.rejections).toHaveLength(1)
    expect([...authorsOf(desk.store)]).toEqual([[phone.doc.clientID, 'mo']])
    expect(notes(desk.store)).toEqual(['own'])
  })

  it('[S3] nobody takes the clientID of somebody who is there and has written nothing yet', () => {
    const desk = syncDesk()
    const honest = desk.phone('mechanic', 'mo')
    beThere(honest)
    const thief = new Y.Doc()
    thief.clientID = honest.doc.clientID
    thief.getMap('notes').set('x:text', 'stolen name')
    for (const says of [null, desk.store.generation]) {
      const phone = desk.phone('mechanic', 'thief', ROOM, copyOf(thief), says)
      desk.endTurn()
      expect(phone.rejections.map((r) => r.kind)).toContain('authorship')
      phone.disconnect()
    }
    honest.set('notes', 'a:text', 'own')
    honest.barrier()
    desk.endTurn()
    expect(honest.rejections).toEqual([])
    expect(honest.acked).toBe(1)
  })

  it('a phone that lies about its generation gets others’ edits judged as its own, and keeps nobody from writing', () => {
    const { desk, mechanic, driver } = afterTheBackup()
    const liar = desk.phone('guest', 'gus', ROOM, copyOf(driver), 'second')
    desk.endTurn()
    expect(liar.rejections.every((r) => r.kind === 'policy')).toBe(true)
    expect(notes(desk.store)).toEqual(['before'])
    // An honest phone of the old generation writes anew under another number.
    const fresh = new Y.Doc()
    const mo = desk.phone('mechanic', 'mo', ROOM, fresh, 'second')
    for (let i = 1; i <= 10; i++)
      mo.set('notes', `n${i}:text`, mechanic.getMap('notes').get(`n${i}:text`) as string)
    mo.barrier()
    desk.endTurn()
    expect(mo.rejections).toEqual([])
    expect(mo.acked).toBe(1)
    expect(notes(desk.store)).toHaveLength(11)
  })
})
