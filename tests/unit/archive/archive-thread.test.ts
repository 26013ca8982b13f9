import { join } from 'node:path'
import { Writable } from 'node:stream'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, expect, it, vi } from 'vitest'
import type { ArchiveScope } from '@/lib/archive'
import { archiveHere, archiveInThread, type ArchiveOut } from '@/server/archive/archive-out'
import { bundleServer } from '@/server/setup/bundle-server.mjs'
import { DATABASE_FILE } from '@/server/storage/database-file'
import { ArchiveBoard, AT } from '../../support/archive-board'

const TEAM: ArchiveScope = { kind: 'team' }
vi.setConfig({ testTimeout: 120_000 })

let board: ArchiveBoard
let script: string
beforeAll(async () => {
  board = await ArchiveBoard.withDemo()
  const root = fileURLToPath(new URL('../../..', import.meta.url))
  script = join(await bundleServer(root), 'archive-thread.mjs')
}, 60_000)
afterAll(() => board.dispose())

const source = () => ({ file: join(board.folder, DATABASE_FILE) })
const bytesOf = async (make: ArchiveOut): Promise<Buffer> => {
  const got: Buffer[] = []
  const out = new Writable({ write: (chunk: Buffer, _, done) => (got.push(chunk), setImmediate(done)) })
  const finished = new Promise<void>((resolve) => void out.once('finish', resolve))
  await make(TEAM, AT, out)
  await finished
  return Buffer.concat(got)
}

it('[S27] the thread makes the archive that this one makes, byte by byte', async () => {
  const here = await bytesOf(archiveHere(source()))
  const there = await bytesOf(archiveInThread(script, source()))
  expect(here.length).toBeGreaterThan(100_000)
  expect(there.equals(here)).toBe(true)
})

it('[S27] it is of one moment: what is written once it has begun is in the next one', async () => {
  const make = archiveInThread(script, source())
  let wrote = false
  const got: Buffer[] = []
  const out = new Writable({
    write(chunk: Buffer, _, done) {
      got.push(chunk)
      if (wrote) return done()
      wrote = true
      // The first piece is here, so the moment is taken. The edit is stored before the second is asked for.
      void board.write('kit', 'cars', 'rook', 'note', 'Written meanwhile').then(() => done())
    },
  })
  const before = await bytesOf(archiveHere(source()))
  const finished = new Promise<void>((resolve) => void out.once('finish', resolve))
  await make(TEAM, AT, out)
  await finished
  expect(Buffer.concat(got).equals(before)).toBe(true)
  expect((await bytesOf(make)).equals(before)).toBe(false)
})

it('[S27] it ends when nobody takes the archive any more, and says so', async () => {
  const make = archiveInThread(script, source())
  const out = new Writable({
    write: () => out.destroy(new Error('Nobody takes it')),
  })
  out.on('error', () => undefined)
  await expect(make(TEAM, AT, out)).rejects.toThrow('Nobody takes it')
  expect((await bytesOf(make)).subarray(0, 2).toString()).toBe('PK')
})

it('[S27] what can’t be made is never taken for a whole archive', async () => {
  let ended = false
  const out = new Writable({
    write: (_chunk, _encoding, done) => done(),
    final: (done) => ((ended = true), done()),
  })
  await expect(
    archiveInThread(script, { file: join(board.folder, 'nowhere.db') })(TEAM, AT, out),
  ).rejects.toThrow()
  await expect(
    archiveInThread(script, source())({ kind: 'meeting', meetingId: 'never-was' }, AT, out),
  ).rejects.toThrow('the board has nothing of it')
  expect(ended).toBe(false)
})
