import { createWriteStream, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { Writable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { afterEach, beforeEach, expect, it } from 'vitest'
import { DATABASE_FILE } from '@/server/storage/database-file'
import { Downloads } from '@/server/archive/downloads'
import { archiveHere } from '@/server/archive/archive-out'
import { checkArchive } from '@/server/archive/check-archive'
import { ImportDesk } from '@/server/archive/import-desk'
import { hasMeeting, writeArchive } from '@/server/archive/write-archive'
import { HandTimers } from '../../support/api-server'
import { ArchiveBoard, AT } from '../../support/archive-board'
import { must } from '../../support/must'
import { drawn, sha256 } from '../../support/pictures'

let board: ArchiveBoard
let timers: HandTimers
let desk: ImportDesk
beforeEach(async () => {
  board = new ArchiveBoard()
  timers = new HandTimers()
  desk = new ImportDesk(board.parts, board.folder, timers)
  await board.write('kit', 'meetings', 'm1', 'name', 'Spring')
  await board.write('kit', 'cars', 'rook', 'name', 'Rook')
  await board.write('meeting-m1', 'entries', 'e1', 'heatId', 'h1')
})
afterEach(() => board.dispose())

const drafts = () => readdirSync(board.folder).filter((name) => name.startsWith('import-'))
const free = <T>(work: () => T): T => work()

it('[S27] an archive on its way that nobody sends on is gone after half an hour, and one that is still sent is not', async () => {
  const bytes = readFileSync(await board.archive())
  const { id } = must(desk.begin('p1', bytes.length))
  must(await desk.piece(id, 'p1', 0, bytes.subarray(0, 100)))
  timers.advance(29 * 60_000)
  must(await desk.piece(id, 'p1', 100, bytes.subarray(100)))
  timers.advance(29 * 60_000)
  expect(drafts()).toHaveLength(1)
  must(await desk.plan(id, 'p1', free))
  timers.advance(30 * 60_000)
  expect(drafts()).toEqual([])
  expect((await desk.plan(id, 'p1', free)).ok).toBe(false)
})

it('[S27] one that can’t be read is gone at once; a piece that is sent twice at once is written once; odd places are refused', async () => {
  const { id } = must(desk.begin('p1', 100))
  for (const at of [NaN, 0.5, -1, 2 ** 60])
    expect((await desk.piece(id, 'p1', at, Buffer.alloc(10))).ok).toBe(false)
  const twice = await Promise.all([0, 0].map((at) => desk.piece(id, 'p1', at, Buffer.alloc(100, 7))))
  expect(twice.map((r) => must(r).received)).toEqual([100, 100])
  expect(drafts()).toHaveLength(1)
  expect((await desk.plan(id, 'p1', free)).ok).toBe(false)
  expect(drafts()).toEqual([])
})

it('[S27] what no server would take in is left out with a note: photos that tell more, and meetings that the kit does not know', async () => {
  const data = Buffer.from(await drawn('jpeg', { told: true, width: 40, height: 30 }))
  const photo = { meetingId: 'm1', runId: 'e1', hash: sha256(data), type: 'image/jpeg', data, personId: 'p1' }
  expect(board.photos.put(photo, new Set())).toBe('stored')
  const v = {
    hash: photo.hash,
    thumb: photo.hash,
    type: 'image/jpeg',
    width: 40,
    height: 30,
    bytes: data.length,
  }
  await board.write('meeting-m1', 'photos', 'f1', 'picture', { v, by: 'p1', at: AT })
  await board.write('meeting-m2', 'entries', 'e1', 'heatId', 'h1')
  const file = join(board.folder, 'cut.zip')
  const made = must(await writeArchive(board.client, { kind: 'team' }, createWriteStream(file), board.clock))
  expect(made.notes).toEqual([
    expect.stringMatching(/^Photo .* says more than it shows/),
    expect.stringMatching(/^meeting-m2 is not in the archive/),
  ])
  const archive = must(await checkArchive(file))
  expect(archive.rooms).toEqual(['kit', 'meeting-m1'])
  archive.close()
  expect([hasMeeting(board.client, 'm1'), hasMeeting(board.client, 'm2')]).toEqual([true, false])
})

it('[S27] a plan names what would be there twice: new packs, cars and people that are called as others are', async () => {
  await board.write('kit', 'packs', 'a', 'label', 'P1')
  await board.write('kit', 'packs', 'gone', 'label', 'P2')
  await board.write('kit', 'packs', 'gone', 'removed', true)
  const from = new ArchiveBoard()
  await from.write('kit', 'packs', 'b', 'label', 'p1 ')
  await from.write('kit', 'packs', 'c', 'label', 'P2')
  await from.write('kit', 'cars', 'rook', 'name', 'Rook')
  const plan = await board.plan(await from.archive())
  await from.dispose()
  expect(plan.notes).toEqual(['Pack “p1 ” is on this board already, as another one: there will be two.'])
})

it('[S27] one archive is downloaded at a time, and one that nobody takes any more ends', async () => {
  const warned: unknown[] = []
  const downloads = new Downloads({
    archiveOut: archiveHere({ file: join(board.folder, DATABASE_FILE) }),
    clock: board.clock,
    timers,
    warn: (e) => warned.push(e),
  })
  // More than the streams hold between them, so that somebody has to take it.
  for (let i = 0; i < 400; i++) {
    const noise = ['a', 'b', 'c', 'd', 'e'].map((more) => sha256(Buffer.from(`${i}${more}`)))
    await board.write('kit', 'cars', `c${i}`, 'note', noise.join(''))
  }
  const first = downloads.start({ kind: 'team' }, 'team')
  expect(downloads.start({ kind: 'team' }, 'team').status).toBe(409)
  const stream = first.stream
  if (!stream) throw new Error('no stream')
  const ended = new Promise((resolve) => stream.once('error', resolve))
  timers.advance(60_000)
  expect(String(await ended)).toContain('Nobody takes')
  await expect.poll(() => warned.length).toBe(1)
  const second = downloads.start({ kind: 'team' }, 'team')
  const got: Buffer[] = []
  if (!second.stream) throw new Error('no stream')
  await pipeline(
    second.stream,
    new Writable({ write: (chunk: Buffer, _, done) => (got.push(chunk), done()) }),
  )
  expect(Buffer.concat(got).subarray(0, 2).toString()).toBe('PK')
})
