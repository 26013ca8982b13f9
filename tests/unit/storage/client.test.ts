import { copyFileSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { eq } from 'drizzle-orm'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { Client } from '@/drizzle/client'
import { rooms } from '@/drizzle/schema'
import { rowChecksum } from '@/drizzle/row-checksum'
import { DATABASE_FILE, openDatabase } from '@/server/storage/open-database'
import { SqliteStore } from '@/server/storage/sqlite-store'

let folder: string
let client: Client
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'stagecall-client-'))
  client = openDatabase(folder)
})
afterEach(() => {
  client.close()
  rmSync(folder, { recursive: true })
})
const addRoom = (id: number) =>
  client.db
    .insert(rooms)
    .values({ id, name: `r${id}`, checksum: 0 })
    .run()
const countRooms = () => client.db.select().from(rooms).all().length

describe('the database client', () => {
  it('[S7] runs in WAL with synchronous=FULL', () => {
    expect(client.connection.pragma('journal_mode', { simple: true })).toBe('wal')
    // 2 = FULL: https://www.sqlite.org/pragma.html#pragma_synchronous
    expect(client.connection.pragma('synchronous', { simple: true })).toBe(2)
    expect(client.connection.pragma('foreign_keys', { simple: true })).toBe(1)
  })

  it('a transaction handed a promise throws and keeps nothing', () => {
    expect(() =>
      client.transact(() => {
        addRoom(1)
        return Promise.resolve()
      }),
    ).toThrow(TypeError)
    expect(countRooms()).toBe(0)
    client.transact(() => addRoom(1))
    expect(countRooms()).toBe(1)
  })

  it('a transaction that throws keeps nothing, and the next one works', () => {
    expect(() =>
      client.transact(() => {
        addRoom(1)
        throw new Error('no')
      }),
    ).toThrow('no')
    expect(countRooms()).toBe(0)
    client.transact(() => addRoom(2))
    expect(client.db.select().from(rooms).where(eq(rooms.id, 2)).all()).toHaveLength(1)
  })

  it('migrates twice without harm and refuses a database from a newer version', () => {
    client.close()
    client = openDatabase(folder)
    client.connection
      .prepare(`INSERT INTO __drizzle_migrations (hash, created_at) VALUES ('later', ?)`)
      .run(Date.UTC(2099, 0))
    client.close()
    expect(() => openDatabase(folder)).toThrow(/written by a newer version.*2099-01-01/)
    client = openDatabase(mkdtempSync(join(folder, 'other-')))
  })

  it('names the trouble of a file that is no database', () => {
    const other = mkdtempSync(join(folder, 'other-'))
    copyFileSync(new URL(import.meta.url), join(other, DATABASE_FILE))
    expect(() => openDatabase(other)).toThrow(expect.objectContaining({ trouble: 'damaged' }))
  })

  it('[S12] a second connection reads what the first has committed without closing', () => {
    const store = new SqliteStore(client)
    store.commit({
      updates: [{ room: 'kit', update: new Uint8Array([1, 2]), at: 1 }],
      authors: [],
      audit: [],
    })
    const second = openDatabase(folder)
    expect(new SqliteStore(second).load('kit').updates).toEqual([new Uint8Array([1, 2])])
    second.close()
  })

  it('refuses to load an update whose bytes have changed', () => {
    const store = new SqliteStore(client)
    store.commit({
      updates: [{ room: 'kit', update: new Uint8Array([1, 2]), at: 1 }],
      authors: [],
      audit: [],
    })
    client.connection.prepare(`UPDATE updates SET data = x'0103'`).run()
    expect(() => store.load('kit')).toThrow(/damaged.*update 1 of kit/)
  })

  it('checksums tell apart rows that only differ in where one cell ends', () => {
    const sums = [
      ['ab', 'c'],
      ['a', 'bc'],
      ['abc', ''],
      ['abc', null],
      [1, 2],
      [12, ''],
      [new Uint8Array([1]), new Uint8Array([2])],
      [new Uint8Array([1, 2]), new Uint8Array()],
    ].map(rowChecksum)
    expect(new Set(sums).size).toBe(sums.length)
  })
})
