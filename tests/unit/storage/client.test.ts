import { copyFileSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { eq } from 'drizzle-orm'
import { readMigrationFiles } from 'drizzle-orm/migrator'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { openClient, type SqliteClient } from '@/drizzle/client'
import { schemaDifferences } from '@/drizzle/migrate'
import { rooms } from '@/drizzle/schema'
import { rowChecksum } from '@/drizzle/row-checksum'
import { DATABASE_FILE } from '@/server/storage/database-file'
import { openDatabase } from '@/server/storage/open-database'
import { SqliteStore } from '@/server/storage/sqlite-store'

let folder: string
let client: SqliteClient
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

  it('keeps every row of a database from before the tables were written anew, and its checks find nothing', () => {
    const old = mkdtempSync(join(folder, 'old-'))
    const before = openClient(join(old, DATABASE_FILE))
    const files = readMigrationFiles({ migrationsFolder: 'drizzle/migrations' }).slice(0, 2)
    for (const statement of files.flatMap((f) => f.sql)) before.connection.exec(statement)
    const made = client.connection.prepare(
      `SELECT sql FROM sqlite_master WHERE name = '__drizzle_migrations'`,
    )
    before.connection.exec(String(made.pluck().get()))
    const note = before.connection.prepare(
      'INSERT INTO __drizzle_migrations (hash, created_at) VALUES (?, ?)',
    )
    for (const { hash, folderMillis } of files) note.run(hash, folderMillis)
    // This version's inserts fit the old tables too.
    const entry = {
      room: 'kit',
      at: 5,
      personId: 'ann',
      deviceId: 'phone',
      collection: 'packs',
      field: 'label',
    }
    const outcome = 'accepted' as const
    new SqliteStore(before).commit({
      updates: [1, 2, 3].map((n) => ({ room: 'kit', update: Uint8Array.of(n), at: n })),
      authors: [{ clientId: 7, personId: 'ann' }].map((a) => ({ room: 'kit', ...a })),
      audit: ['a', 'b'].map((after) => ({ ...entry, recordId: 'p1', before: null, after, outcome })),
    })
    const history = new SqliteStore(before).history({ room: 'kit', limit: 9 })
    expect(history.map((h) => [h.seq, h.after])).toEqual([
      [2, 'b'],
      [1, 'a'],
    ])
    before.close()
    const now = openDatabase(old)
    try {
      const store = new SqliteStore(now)
      expect(now.connection.prepare(`SELECT 1 FROM sqlite_master WHERE name = 'audit_by_room'`).get()).toBe(
        undefined,
      )
      expect(store.load('kit')).toMatchObject({
        updates: [1, 2, 3].map((n) => Uint8Array.of(n)),
        authors: new Map([[7, 'ann']]),
      })
      expect(store.history({ room: 'kit', limit: 9 })).toEqual(history)
      expect(schemaDifferences(now)).toEqual([])
      expect(now.connection.pragma('foreign_key_check')).toEqual([])
      expect(now.connection.pragma('foreign_keys', { simple: true })).toBe(1)
    } finally {
      now.close()
    }
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
