import { afterEach, expect, it, vi } from 'vitest'
import WebSocket from 'ws'
import { WebsocketProvider } from 'y-websocket'
import * as Y from 'yjs'
import { exportDoc, formatKey } from '@/lib/board'
import { runDigestOnBoard } from '@/lib/card/staging/run-digest-on-board'
import type { Json } from '@/lib/core/json'
import { FRAME, readBarrier, readRejection, writeBarrier } from '@/lib/sync/frames'
import type { Rejection } from '@/lib/sync/states'
import { makeMeeting } from '../../support/make-meeting'
import { readDocs } from '../../support/read-docs'
import { ServerProcess } from '../../support/server-process'

/** A stock provider with a joined device's cookie against the real server process: what it may not do comes to nothing. */
const undo: (() => Promise<void> | void)[] = []
afterEach(async () => {
  for (const step of undo.splice(0).reverse()) await step()
})

const MEETING = 'meeting-open'
/** Stamps are bounded by the server's clock. */
const AT = Date.now()

/** Somebody's accept of a run as these documents have it. */
function accepts({ personId }: { personId: string }, runId: string, kit: Y.Doc, meeting: Y.Doc): Json {
  return { by: personId, at: AT, covers: runDigestOnBoard(readDocs({ kit, meeting }), runId) ?? '' }
}

function connect(server: ServerProcess, cookie: string, room: string) {
  class Polyfill extends WebSocket {
    constructor(address: string | URL) {
      super(address, { headers: { cookie } })
    }
  }
  const doc = new Y.Doc()
  const provider = new WebsocketProvider(`ws://127.0.0.1:${server.port}/sync`, room, doc, {
    WebSocketPolyfill: Polyfill as unknown as typeof globalThis.WebSocket,
    disableBc: true,
    connect: false,
  })
  const rejections: Rejection[] = []
  const answered = new Map<number, () => void>()
  let closes = 0
  let barriers = 0
  for (const type of Object.values(FRAME)) if (type >= 100) provider.messageHandlers[type] = () => undefined
  provider.messageHandlers[FRAME.rejection] = (_e, d) => void rejections.push(readRejection(d))
  provider.messageHandlers[FRAME.barrier] = (_e, d) => answered.get(readBarrier(d).n)?.()
  provider.on('connection-close', () => void closes++)
  provider.connect()
  undo.push(() => {
    provider.destroy()
    doc.destroy()
  })
  return {
    doc,
    rejections,
    closes: () => closes,
    board: () => exportDoc(room === 'kit' ? 'kit' : 'meeting', doc),
    write: (collection: string, recordId: string, field: string, value: Json) =>
      void doc.getMap(collection).set(formatKey(recordId, field), value),
    delete: (collection: string, recordId: string, field: string) =>
      doc.getMap(collection).delete(formatKey(recordId, field)),
    synced: () =>
      new Promise<void>((resolve) => (provider.synced ? resolve() : provider.once('sync', () => resolve()))),
    /** Everything sent before is on disk or refused, and this phone knows which. */
    settled: () =>
      new Promise<void>((resolve) => {
        answered.set(++barriers, resolve)
        provider.ws?.send(Uint8Array.from(writeBarrier({ epoch: 1, n: barriers })))
      }),
  }
}

it('[S4] a driver’s stock client moves nothing that is not theirs, in either room; what they may goes through beside it', async () => {
  const server = await ServerProcess.start({ screens: false })
  undo.push(() => server.dispose())
  const boss = await server.join('manager', { name: 'Boss' })
  await makeMeeting(server.port, boss.cookie, 'open')
  const mech = await server.join('mechanic', { name: 'Mech' })
  const eve = await server.join('driver', { name: 'Eve' })
  const dan = await server.join('driver', { name: 'Dan' })
  const by = (who: { personId: string }, v?: Json) => ({
    ...(v !== undefined && { v }),
    by: who.personId,
    at: AT,
  })

  const bossKit = connect(server, boss.cookie, 'kit')
  const bossMeeting = connect(server, boss.cookie, MEETING)
  const mechMeeting = connect(server, mech.cookie, MEETING)
  const eveMeeting = connect(server, eve.cookie, MEETING)
  const all = [bossKit, bossMeeting, mechMeeting, eveMeeting]
  await Promise.all(all.map((c) => c.synced()))
  bossKit.write('cars', 'own', 'driverId', dan.personId)
  bossKit.write('cars', 'other', 'driverId', eve.personId)
  bossKit.write('ruleSheets', 'r1', 'minimumWeightG', 1588)
  await bossKit.settled()
  bossMeeting.write('classes', 'k1', 'voltageLimitV', 8.44)
  bossMeeting.write('entries', 'run-own', 'carId', 'own')
  bossMeeting.write('entries', 'run-other', 'carId', 'other')
  await bossMeeting.settled()
  mechMeeting.write('cardValues', 'own.pinion', 'fitted', by(mech, 22))
  mechMeeting.write('cardValues', 'other.pinion', 'assigned', by(mech, 23))
  mechMeeting.write('followUps', 'own.mesh', 'signed', by(mech))
  mechMeeting.write('checks', 'run-own.wheels', 'signed', by(mech))
  mechMeeting.write('jobs', 'j1', 'done', by(mech))
  await mechMeeting.settled()
  await vi.waitFor(() => expect(eveMeeting.board()).toEqual(mechMeeting.board()))
  eveMeeting.write('runs', 'run-other', 'accepted', accepts(eve, 'run-other', bossKit.doc, eveMeeting.doc))
  await eveMeeting.settled()
  expect(all.flatMap((c) => c.rejections)).toEqual([])

  const danKit = connect(server, dan.cookie, 'kit')
  const danMeeting = connect(server, dan.cookie, MEETING)
  await Promise.all([danKit.synced(), danMeeting.synced()])
  const before = { kit: danKit.board(), meeting: danMeeting.board() }
  expect(before.meeting['cardValues']).toMatchObject({ 'own.pinion:fitted': by(mech, 22) })
  // What the others see at any moment: the board of before, and beside it only what Dan may write.
  const strange: string[] = []
  const allowed = new Set([
    'cars/own:note',
    'cardValues/own.pinion:assigned',
    'notes/n1:text',
    'runs/run-own:accepted',
  ])
  const watch = (c: typeof bossKit, was: Record<string, Record<string, unknown>>) =>
    c.doc.on('update', () => {
      const now = c.board()
      for (const name of new Set([...Object.keys(was), ...Object.keys(now)]))
        for (const key of new Set([...Object.keys(was[name] ?? {}), ...Object.keys(now[name] ?? {})]))
          if (
            !allowed.has(`${name}/${key}`) &&
            JSON.stringify(was[name]?.[key]) !== JSON.stringify(now[name]?.[key])
          )
            strange.push(`${name}/${key} = ${JSON.stringify(now[name]?.[key])}`)
    })
  watch(bossKit, before.kit)
  for (const c of [bossMeeting, mechMeeting, eveMeeting]) watch(c, before.meeting)

  const inKit: [string, string, string, Json][] = [
    ['people', dan.personId, 'role', 'manager'],
    ['people', eve.personId, 'role', 'guest'],
    ['people', eve.personId, 'removed', true],
    ['people', eve.personId, 'name', 'Eva'],
    ['cars', 'other', 'driverId', dan.personId],
    ['cars', 'other', 'note', 'Mine now'],
    ['cars', 'own', 'weightG', 1000],
    ['ruleSheets', 'r1', 'minimumWeightG', 0],
    ['followUpRules', 'f1', 'removed', true],
  ]
  const inMeeting: [string, string, string, Json][] = [
    ['cardValues', 'other.pinion', 'assigned', by(dan, 30)],
    ['cardValues', 'other.pinion', 'fitted', by(dan, 30)],
    ['cardValues', 'own.pinion', 'fitted', by(dan, 30)],
    ['cardValues', 'own.spur', 'fitted', by(mech, 78)],
    ['cardValues', 'own.toe', 'assigned', by(mech, 2)],
    ['classes', 'k1', 'voltageLimitV', 20],
    ['meeting', 'meeting', 'marshalRule', 'none'],
    ['followUps', 'own.mesh', 'signed', by(dan)],
    ['followUps', 'own.bearings', 'signed', by(mech)],
    ['checks', 'run-own.wheels', 'signed', by(dan)],
    ['jobs', 'j1', 'done', null],
    ['runs', 'run-other', 'accepted', by(dan)],
    ['runs', 'run-other', 'sentBack', by(dan, 'not ready')],
  ]
  // Beside something that he may: the rest is put back.
  danKit.doc.transact(() => {
    for (const edit of inKit) danKit.write(...edit)
    danKit.write('cars', 'own', 'note', 'Bald left rear')
  })
  for (const edit of inMeeting.filter(([c]) => c === 'cardValues').slice(0, 1)) danMeeting.write(...edit)
  danMeeting.write('cardValues', 'own.pinion', 'assigned', by(dan, 23))
  danMeeting.doc.transact(() => {
    danMeeting.delete('followUps', 'own.mesh', 'signed')
    danMeeting.delete('cardValues', 'other.pinion', 'assigned')
    danMeeting.write('cardValues', 'own.pinion', 'assigned', by(dan, 24))
  })
  const accepted = accepts(dan, 'run-own', bossKit.doc, danMeeting.doc)
  // Once more, allowed and forbidden in one transaction.
  danMeeting.doc.transact(() => {
    for (const edit of inMeeting) danMeeting.write(...edit)
    danMeeting.write('notes', 'n1', 'text', by(dan, 'Loose on the far corner'))
    danMeeting.write('runs', 'run-own', 'accepted', accepted)
  })
  await Promise.all([danKit.settled(), danMeeting.settled()])

  // [S24] What no driver may write at all, on its own: each time the page is told to start anew.
  const never: [string, (c: typeof danKit) => void][] = [
    ['kit', (c) => c.write('people', eve.personId, 'role', 'guest')],
    ['kit', (c) => c.delete('people', eve.personId, 'role')],
    ['kit', (c) => c.write('ruleSheets', 'r2', 'minimumWeightG', 0)],
    [MEETING, (c) => c.write('followUps', 'own.mesh', 'signed', by(dan))],
    [MEETING, (c) => c.write('classes', 'k1', 'voltageLimitV', 20)],
  ]
  for (const [room, attempt] of never) {
    const page = connect(server, dan.cookie, room)
    await page.synced()
    attempt(page)
    await vi.waitFor(() => expect(page.rejections.map((r) => r.kind)).toEqual(['policy', 'anew']))
  }

  const expected = {
    kit: structuredClone(before.kit),
    meeting: structuredClone(before.meeting),
  }
  const put = (board: Record<string, Record<string, unknown>>, name: string, key: string, value: Json) =>
    void (board[name] = { ...board[name], [key]: value })
  put(expected.kit, 'cars', 'own:note', 'Bald left rear')
  put(expected.meeting, 'cardValues', 'own.pinion:assigned', by(dan, 24))
  put(expected.meeting, 'notes', 'n1:text', by(dan, 'Loose on the far corner'))
  put(expected.meeting, 'runs', 'run-own:accepted', accepted)
  expect(danKit.board()).toEqual(expected.kit)
  expect(danMeeting.board()).toEqual(expected.meeting)
  // Each attempt came back by name, over sockets that stayed open all along.
  const pathsOf = (c: typeof danKit) =>
    new Set(c.rejections.map((r) => r.path && `${r.path.collection}/${r.path.recordId}:${r.path.field}`))
  expect(pathsOf(danKit)).toEqual(new Set(inKit.map(([c, id, f]) => `${c}/${id}:${f}`)))
  expect(pathsOf(danMeeting)).toEqual(new Set(inMeeting.map(([c, id, f]) => `${c}/${id}:${f}`)))
  expect([...danKit.rejections, ...danMeeting.rejections].every((r) => r.reason.length > 10)).toBe(true)
  expect(danKit.closes() + danMeeting.closes()).toBe(0)
  const session = await fetch(`${server.origin}/api/session`, { headers: { cookie: dan.cookie } })
  expect(await session.json()).toMatchObject({ session: { role: 'driver' } })
  await Promise.all(all.map((c) => c.settled()))
  expect(bossKit.board()).toEqual(expected.kit)
  for (const c of [bossMeeting, mechMeeting, eveMeeting]) expect(c.board()).toEqual(expected.meeting)
  expect(strange).toEqual([])

  // And nothing of it was in the file either.
  await server.kill9()
  await server.restart()
  const [kit, meeting] = [connect(server, boss.cookie, 'kit'), connect(server, boss.cookie, MEETING)]
  await Promise.all([kit.synced(), meeting.synced()])
  expect([kit.board(), meeting.board()]).toEqual([expected.kit, expected.meeting])
}, 60_000)
