import { cpSync, mkdtempSync, renameSync, rmSync, symlinkSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, expect, it } from 'vitest'
import type { SqliteClient } from '@/drizzle/client'
import { DATABASE_FILE } from '@/server/storage/database-file'
import { openDatabase } from '@/server/storage/open-database'
import { SqliteStore } from '@/server/storage/sqlite-store'

let base: string
let data: string
let client: SqliteClient
let store: SqliteStore
beforeEach(() => {
  base = mkdtempSync(join(tmpdir(), 'stagecall-watch-'))
  data = join(base, 'data')
  client = openDatabase(data, { busyMs: 0 })
  store = new SqliteStore(client)
  commit('kit', 1)
})
afterEach(() => {
  client.close()
  rmSync(base, { recursive: true })
})
const away = () => join(base, 'away')
const commit = (room: string, value: number) =>
  store.commit({ updates: [{ room, update: Uint8Array.of(1, value), at: 1 }], authors: [], audit: [] })
const moved = expect.objectContaining({ trouble: 'moved' }) as Error

const WAYS: [string, () => void, () => void][] = [
  ['moved away', () => renameSync(data, away()), () => renameSync(away(), data)],
  [
    'replaced by a copy of itself',
    () => {
      renameSync(data, away())
      cpSync(away(), data, { recursive: true })
    },
    () => {
      rmSync(data, { recursive: true })
      renameSync(away(), data)
    },
  ],
  ...['', '-wal'].map((part) => {
    const file = () => join(data, DATABASE_FILE + part)
    const way: (typeof WAYS)[number] = [
      `without its ${DATABASE_FILE}${part}`,
      () => renameSync(file(), away()),
      () => renameSync(away(), file()),
    ]
    return way
  }),
]
it.each(WAYS)(
  '[S26] a folder %s takes nothing, and takes it again when all is back',
  (_, takeAway, putBack) => {
    takeAway()
    expect(() => store.check()).toThrow(moved)
    expect(() => commit('kit', 2)).toThrow(moved)
    expect(() => client.transact(() => undefined)).toThrow(moved)
    putBack()
    expect(store.load('kit').updates).toEqual([Uint8Array.of(1, 1)])
    commit('kit', 3)
    expect(store.load('kit').updates).toHaveLength(2)
  },
)

it('[S26] a folder without the memory that programs share over the database is found out at the next look', () => {
  const file = join(data, `${DATABASE_FILE}-shm`)
  renameSync(file, away())
  expect(() => store.check()).toThrow(moved)
  renameSync(away(), file)
  store.check()
})

it('[S26] a removed folder never takes anything again', () => {
  rmSync(data, { recursive: true })
  expect(() => commit('kit', 2)).toThrow(moved)
  openDatabase(data).close()
  expect(() => commit('kit', 2)).toThrow(moved)
})

it('[S26] the same folder by another way is the same folder', () => {
  renameSync(data, away())
  symlinkSync(away(), data)
  commit('kit', 2)
  expect(store.load('kit').updates).toHaveLength(2)
})

it('[S26] a room made by a commit that the folder was taken away in is known when it is back', () => {
  const [before, work] = [store.check.bind(store), client.transact.bind(client)]
  client.transact = (run) =>
    work(() => {
      const result = run()
      renameSync(data, away())
      return result
    })
  expect(() => commit('meeting-a', 1)).toThrow(moved)
  client.transact = work
  renameSync(away(), data)
  before()
  commit('meeting-a', 2)
  expect(store.load('meeting-a').updates).toEqual([Uint8Array.of(1, 1), Uint8Array.of(1, 2)])
})
