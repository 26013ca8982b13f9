import { createServer, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import { inflateSync } from 'node:zlib'
import * as decoding from 'lib0/decoding'
import { afterEach, describe, expect, it } from 'vitest'
import WebSocket from 'ws'
import { WebsocketProvider } from 'y-websocket'
import * as Y from 'yjs'
import { writeField } from '@/lib/board'
import { CLOSE } from '@/lib/sync/close-codes'
import { FRAME, readPacked, READS_PACKED, readRejection, readSession } from '@/lib/sync/frames'
import type { Rejection, SessionState } from '@/lib/sync/states'
import type { LiveSession } from '@/server/join/live-session'
import type { Role } from '@/lib/core/role'
import { MemoryStore } from '@/server/storage/memory-store'
import { createSyncServer } from '@/server/sync/sync-server'
import { HandSessions } from './hand-sessions'

/** The stock provider over real sockets, with the board's own rules. */
const undo: (() => Promise<void> | void)[] = []
afterEach(async () => {
  for (const step of undo.splice(0).reverse()) await step()
})

const quiet = { info: () => undefined, warn: () => undefined, error: () => undefined }

async function serve() {
  const sessions = new HandSessions()
  const store = new MemoryStore()
  const sync = createSyncServer({ store, sessions, clock: { now: () => Date.now() }, log: quiet })
  const http: Server = createServer()
  http.on('upgrade', (req, socket, head) => sync.handleUpgrade(req, socket, head))
  await new Promise<void>((resolve) => http.listen(0, '127.0.0.1', resolve))
  undo.push(
    () => new Promise<void>((resolve) => http.close(() => resolve())),
    () => sync.close(),
  )
  const { port } = http.address() as AddressInfo
  const url = `ws://127.0.0.1:${port}/sync`
  const join = (role: Role, personId: string): LiveSession => {
    const session = { sessionId: `s-${personId}`, personId, name: personId, role, deviceId: `d-${personId}` }
    sessions.byCookie.set(session.sessionId, session)
    return session
  }
  const connect = (
    session: LiveSession | null,
    room: string,
    origin?: string,
    params: Record<string, string> = {},
  ) => {
    class Polyfill extends WebSocket {
      constructor(address: string | URL) {
        super(address, {
          headers: session ? { cookie: `stagecall_session=${session.sessionId}` } : {},
          ...(origin && { origin }),
        })
      }
    }
    const doc = new Y.Doc()
    const provider = new WebsocketProvider(url, room, doc, {
      WebSocketPolyfill: Polyfill as unknown as typeof globalThis.WebSocket,
      disableBc: true,
      connect: false,
      params,
    })
    const rejections: Rejection[] = []
    const states: SessionState[] = []
    for (const type of Object.values(FRAME)) if (type >= 100) provider.messageHandlers[type] = () => undefined
    provider.messageHandlers[FRAME.rejection] = (_e, d) => void rejections.push(readRejection(d))
    provider.messageHandlers[FRAME.session] = (_e, d) => void states.push(readSession(d))
    undo.push(() => {
      provider.destroy()
      doc.destroy()
    })
    const synced = () =>
      new Promise<void>((resolve) => (provider.synced ? resolve() : provider.once('sync', () => resolve())))
    provider.connect()
    return { doc, provider, rejections, states, synced }
  }
  return { sync, sessions, store, join, connect, url, port }
}

/** Resolves when the document satisfies the condition. */
const when = (doc: Y.Doc, holds: () => boolean) =>
  new Promise<void>((resolve) => {
    const look = () => {
      if (!holds()) return
      doc.off('update', look)
      resolve()
    }
    doc.on('update', look)
    look()
  })

const value = (doc: Y.Doc, collection: string, key: string) => doc.getMap(collection).get(key)

describe('the stock provider', () => {
  it('[S28] gets a large board packed where its address says that it can unpack, and as ever where not; both have the same', async () => {
    const { sync, join, connect } = await serve()
    await sync.editAsServer('kit', (doc) => {
      for (let i = 0; i < 400; i++) writeField(doc, 'cars', `c${i}`, 'name', `Car number ${i}`)
    })
    const ann = join('manager', 'ann')
    const plain = connect(ann, 'kit')
    const packing = connect(ann, 'kit', undefined, READS_PACKED)
    const frames = { plain: 0, packed: 0 }
    const note = (of: 'plain' | 'packed', { provider }: typeof plain) =>
      provider.ws?.addEventListener('message', ({ data }) => {
        const bytes = (data as ArrayBuffer).byteLength
        frames[of] = Math.max(frames[of], bytes)
      })
    note('plain', plain)
    note('packed', packing)
    packing.provider.messageHandlers[FRAME.packed] = (encoder, decoder, provider, emitSynced) => {
      const inner = decoding.createDecoder(inflateSync(readPacked(decoder)))
      const type = decoding.readVarUint(inner)
      packing.provider.messageHandlers[type]?.(encoder, inner, provider, emitSynced, type)
    }
    await Promise.all([plain.synced(), packing.synced()])
    expect(packing.doc.getMap('cars').toJSON()).toEqual(plain.doc.getMap('cars').toJSON())
    expect(plain.doc.getMap('cars').size).toBe(400)
    expect(frames.plain).toBeGreaterThan(8_192)
    expect(frames.packed).toBeLessThan(frames.plain / 2)
    // What is small comes as it is: a later edit, and the answer to a phone that lacks little.
    writeField(plain.doc, 'cars', 'c1', 'name', 'Blue one')
    await when(packing.doc, () => value(packing.doc, 'cars', 'c1:name') === 'Blue one')
  })

  it('syncs through the server and sees who is there', async () => {
    const { join, connect } = await serve()
    const a = connect(join('manager', 'ann'), 'kit')
    const b = connect(join('mechanic', 'bea'), 'kit')
    await Promise.all([a.synced(), b.synced()])
    writeField(a.doc, 'cars', 'c1', 'name', 'Blue one')
    await when(b.doc, () => value(b.doc, 'cars', 'c1:name') === 'Blue one')
    expect(a.states[0]).toMatchObject({ state: 'active', role: 'manager', personId: 'ann' })
    const seen = new Promise((resolve) =>
      b.provider.awareness.on('change', () => {
        const state = b.provider.awareness.getStates().get(a.doc.clientID)
        if (state && 'at' in state) resolve(state)
      }),
    )
    a.provider.awareness.setLocalState({ at: 'order', person: { personId: 'somebody else', role: 'guest' } })
    expect(await seen).toEqual({
      at: 'order',
      person: { personId: 'ann', name: 'ann', role: 'manager', deviceId: 'd-ann' },
    })
  })

  it('[S4] a driver’s cookie cannot move what is not theirs, and allowed edits go through in the same session', async () => {
    const { sync, join, connect, store } = await serve()
    await sync.editAsServer('kit', (doc) => {
      writeField(doc, 'cars', 'own', 'driverId', 'dan')
      writeField(doc, 'cars', 'other', 'driverId', 'eve')
      writeField(doc, 'people', 'dan', 'role', 'driver')
      writeField(doc, 'meetings', 'm1', 'name', 'Open')
    })
    const watcher = connect(join('manager', 'ann'), 'meeting-m1')
    const driver = connect(join('driver', 'dan'), 'meeting-m1')
    await Promise.all([watcher.synced(), driver.synced()])
    const leaked: string[] = []
    watcher.doc.on('update', () => {
      for (const map of ['cardValues', 'followUps', 'classes'])
        for (const [key, v] of watcher.doc.getMap(map).entries())
          leaked.push(`${map}/${key}=${JSON.stringify(v)}`)
    })
    const stamp = { by: 'dan', at: Date.now() }
    writeField(driver.doc, 'cardValues', 'other.pinion', 'assigned', { v: 21, ...stamp })
    driver.doc.transact(() => {
      writeField(driver.doc, 'cardValues', 'own.pinion', 'fitted', { v: 22, ...stamp })
      writeField(driver.doc, 'classes', 'k1', 'name', 'Mine')
      writeField(driver.doc, 'followUps', 'own.mesh', 'signed', stamp)
      writeField(driver.doc, 'cardValues', 'own.pinion', 'assigned', { v: 23, ...stamp })
    })
    await when(watcher.doc, () => value(watcher.doc, 'cardValues', 'own.pinion:assigned') !== undefined)
    expect(leaked).toEqual([`cardValues/own.pinion:assigned=${JSON.stringify({ v: 23, ...stamp })}`])
    await when(driver.doc, () => driver.doc.getMap('cardValues').size === 1)
    expect(driver.doc.getMap('classes').size + driver.doc.getMap('followUps').size).toBe(0)
    expect(driver.rejections.map((r) => r.path?.field)).toEqual(['assigned', 'fitted', 'name', 'signed'])
    expect(
      store
        .history({ room: 'meeting-m1', limit: 50 })
        .map((h) => h.outcome)
        .sort(),
    ).toEqual(['accepted', 'refused', 'refused', 'refused', 'refused'])
  })

  it('[S1] is turned away without a session and from a foreign page', async () => {
    const { join, connect, url, port } = await serve()
    const failure = (c: ReturnType<typeof connect>) =>
      new Promise((resolve) =>
        c.provider.once('connection-error', (e: unknown) => resolve((e as { message: string }).message)),
      )
    expect(await failure(connect(null, 'kit'))).toContain('401')
    expect(await failure(connect(join('manager', 'ann'), 'kit', 'http://elsewhere.test'))).toContain('403')
    expect(await failure(connect(join('manager', 'ann'), 'nowhere'))).toContain('404')
    const own = connect(join('manager', 'ann'), 'kit', `http://127.0.0.1:${port}`)
    await own.synced()
    expect(url).toContain('/sync')
  })

  it('[S11] a revoked session is closed with a code after which the provider does not come back', async () => {
    const { sessions, join, connect } = await serve()
    const session = join('mechanic', 'bea')
    const c = connect(session, 'kit')
    await c.synced()
    const closed = new Promise<{ code: number }>((resolve) => c.provider.once('closed', resolve))
    sessions.byCookie.delete(session.sessionId)
    sessions.change(session.sessionId, null)
    expect((await closed).code).toBe(CLOSE.revoked)
    expect(c.states.at(-1)).toMatchObject({ state: 'revoked' })
    expect(c.provider.shouldConnect).toBe(false)
    const again = connect(session, 'kit')
    expect(
      (await new Promise<{ code: number }>((resolve) => again.provider.once('closed', resolve))).code,
    ).toBe(CLOSE.revoked)
  })
})
