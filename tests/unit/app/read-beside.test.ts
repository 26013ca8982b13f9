import 'fake-indexeddb/auto'
import { beforeEach, expect, it } from 'vitest'
import * as Y from 'yjs'
import { changeRecord } from '@/lib/board'
import type { SyncClient } from '@/app/sync/sync-client'
import { readBeside, type Beside } from '@/app/sync/read-beside'
import { member, network, session, until, visit } from './device-visits'

beforeEach(() => {
  const board = { generation: 'g1', protocol: 1, schema: 's', build: '' }
  network.session = { state: 'active', ...member('manager'), board }
})

const rooms = () => [...network.sockets].map((s) => s.room.name).sort()
const pinion = (value: number) => ({ assigned: { v: value, by: 'ilse', at: 1_800_000_000_000 } })
const assign = (client: SyncClient, value: number) =>
  changeRecord(
    client.meetingBoard!.context(session(client)),
    'meeting',
    'cardValues',
    'rook.pinion',
    pinion(value),
  )

/** A phone that was at the spring meeting, and has the autumn one on screen. */
async function inAutumn() {
  const client = await visit()
  await client.openMeeting('spring')
  changeRecord(client.meetingBoard!.context(session(client)), 'meeting', 'meeting', 'meeting', {
    name: 'Spring',
  })
  assign(client, 22)
  await until(() => client.snapshot().pending === 0)
  await client.openMeeting('autumn')
  await network.settle()
  const told: Beside[] = []
  const read = (meetingId: string) =>
    readBeside(client, network.createProvider, meetingId, (b) => told.push(b))
  const last = () => told.at(-1)
  const value = () => last()?.view?.cardValues.get('rook.pinion')?.assigned?.v
  return { client, read, told, last, value }
}

it('another meeting is read while the one on screen stays open, and its socket goes with the reading', async () => {
  const { client, read, last, value } = await inAutumn()
  const stop = read('spring')
  await until(() => last()?.from === 'server')
  expect(value()).toBe(22)
  expect(last()?.view?.meeting.get('meeting')?.name).toBe('Spring')
  expect(client.snapshot().meeting?.room).toBe('meeting-autumn')
  assign(client, 25)
  expect(value()).toBe(22)
  stop()
  await network.settle()
  expect(rooms()).toEqual(['kit', 'meeting-autumn'])
})

it('[S8] without a line it is what this phone has, edits that wait there included; what it never had is said to be missing until the server answers', async () => {
  const { client, read, told, last, value } = await inAutumn()
  await client.openMeeting('spring')
  await network.settle()
  network.up = false
  network.cut()
  assign(client, 24)
  await client.openMeeting('autumn')
  const stop = read('spring')
  await until(() => last()?.from === 'phone')
  expect(value()).toBe(24)
  expect(client.snapshot().pending).toBe(1)
  stop()
  told.length = 0
  const end = read('summer')
  await until(() => last()?.isMissing === true)
  expect(last()).toMatchObject({ view: null, from: null })
  changeRecord(
    { docs: { kit: new Y.Doc(), meeting: network.room('meeting-summer').doc }, ...as() },
    'meeting',
    'cardValues',
    'rook.pinion',
    pinion(21),
  )
  network.reconnect()
  await until(() => last()?.from === 'server')
  expect(value()).toBe(21)
  // The edit that waited in the spring meeting is on its way, whoever read beside it.
  await until(() => client.snapshot().pending === 0)
  end()
})

const as = () => ({
  actor: { personId: 'ilse', role: 'manager' as const },
  clock: { now: () => 1_800_000_000_000 },
})
