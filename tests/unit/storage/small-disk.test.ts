import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { readMigrationFiles } from 'drizzle-orm/migrator'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import * as Y from 'yjs'
import { openClient, type SqliteClient } from '@/drizzle/client'
import { DatabaseError } from '@/drizzle/database-error'
import { writeField } from '@/lib/board'
import { backUp, verifyFile } from '@/server/storage/backup'
import { DATABASE_FILE } from '@/server/storage/database-file'
import { openDatabase } from '@/server/storage/open-database'
import { restore } from '@/server/storage/restore'
import { SqliteStore } from '@/server/storage/sqlite-store'
import { must } from '@/tests/support/must'
import { ServerProcess } from '@/tests/support/server-process'
import { SmallDisk } from '@/tests/support/small-disk'

const NOW = Date.UTC(2026, 4, 2, 9)
/** KiB left: nothing, less than a page, a page, and so on to more than anything here takes. */
const ROOM = [0, 4, 8, 16, 40, 100, 250, 600, 1_500, 4_000]

let folder: string
let disk: SmallDisk
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'stagecall-full-'))
  disk = new SmallDisk(8_192)
})
afterEach(() => {
  disk.dispose()
  rmSync(folder, { recursive: true, force: true })
})

function note(i: number): Uint8Array {
  const doc = new Y.Doc()
  writeField(doc, 'packs', `p${i}`, 'label', 'x'.repeat(500))
  return Y.encodeStateAsUpdate(doc)
}
function fill(client: SqliteClient): void {
  const store = new SqliteStore(client)
  const entry = {
    room: 'kit',
    personId: 'ann',
    deviceId: 'phone',
    collection: 'packs',
    field: 'label',
    before: null,
  }
  for (let i = 0; i < 40; i++)
    store.commit({
      updates: [{ room: 'kit', update: note(i), at: i }],
      authors: i === 0 ? [{ room: 'kit', clientId: 7, personId: 'ann' }] : [],
      audit: Array.from({ length: 50 }, (_, n) => ({
        ...entry,
        recordId: `p${n}`,
        at: i,
        after: `value ${i} ${'x'.repeat(60)}`,
        outcome: 'accepted' as const,
      })),
    })
}
const rows = (client: SqliteClient) => {
  const store = new SqliteStore(client)
  return JSON.stringify([store.load('kit'), store.history({ room: 'kit', limit: 5_000 })], (_, v: unknown) =>
    v instanceof Uint8Array ? [...v].join() : v instanceof Map ? [...(v as Map<unknown, unknown>)] : v,
  )
}
const rowsIn = (data: string, open: (data: string) => SqliteClient) => {
  const client = open(data)
  try {
    return rows(client)
  } finally {
    client.close()
  }
}
const asItIs = (data: string) => openClient(join(data, DATABASE_FILE))

/** A database as an earlier version left it, before the tables were written anew. */
function oldDatabase(data: string): void {
  mkdirSync(data)
  const made = openDatabase(mkdtempSync(join(folder, 'new-')))
  const notes = String(
    made.connection
      .prepare(`SELECT sql FROM sqlite_master WHERE name = '__drizzle_migrations'`)
      .pluck()
      .get(),
  )
  made.close()
  const before = openClient(join(data, DATABASE_FILE))
  const files = readMigrationFiles({ migrationsFolder: 'drizzle/migrations' }).slice(0, 2)
  for (const statement of files.flatMap((f) => f.sql)) before.connection.exec(statement)
  before.connection.exec(notes)
  const note = before.connection.prepare('INSERT INTO __drizzle_migrations (hash, created_at) VALUES (?, ?)')
  for (const { hash, folderMillis } of files) note.run(hash, folderMillis)
  fill(before)
  before.close()
}

/** What it threw, or null. */
function trouble(work: () => void): unknown {
  try {
    work()
    return null
  } catch (e) {
    return e
  }
}

describe.skipIf(!SmallDisk.isPossible)('[S12] a disk that is really full', () => {
  it('a database that can’t be brought up to this version stays as it was', () => {
    const old = join(folder, 'old')
    oldDatabase(old)
    const before = rowsIn(old, asItIs)
    const data = join(disk.folder, 'data')
    const outcomes = ROOM.map((kib) => {
      disk.free()
      rmSync(data, { recursive: true, force: true })
      cpSync(old, data, { recursive: true })
      disk.fillBut(kib)
      const e = trouble(() => openDatabase(data).close())
      if (e !== null && !(e instanceof DatabaseError)) throw e
      disk.free()
      expect(rowsIn(data, asItIs)).toBe(before)
      expect(rowsIn(data, openDatabase)).toBe(before)
      return e === null ? 'done' : (e as DatabaseError).message.includes('disk is full') ? 'full' : String(e)
    })
    // At first there is no room, in the end there is, and it is never anything else.
    expect(new Set(outcomes)).toEqual(new Set(['full', 'done']))
    expect([outcomes[0], outcomes.at(-1)]).toEqual(['full', 'done'])
  })

  it('a backup that does not fit says so, leaves nothing, and the backups before it are whole', async () => {
    const data = join(folder, 'data')
    const client = openDatabase(data)
    fill(client)
    must(await backUp(client, join(disk.folder, 'first.backup'), NOW))
    const there = readdirSync(disk.folder)
    const outcomes: string[] = []
    for (const kib of ROOM) {
      disk.fillBut(kib)
      const made = await backUp(client, join(disk.folder, 'second.backup'), NOW)
      outcomes.push(made.ok ? 'done' : made.error.reason)
      disk.free()
      if (made.ok) break
      expect(readdirSync(disk.folder)).toEqual(there)
      expect(verifyFile(join(disk.folder, 'first.backup'))).toMatchObject({ problems: [], manifest: true })
    }
    client.close()
    expect(outcomes.at(-1)).toBe('done')
    for (const reason of outcomes.slice(0, -1)) expect(reason).toMatch(/^the disk is full/)
    expect(outcomes.length).toBeGreaterThan(3)
  })

  it('a restore that does not fit leaves the board that was there', async () => {
    const [data, other] = [join(disk.folder, 'data'), join(folder, 'other')]
    const client = openDatabase(other)
    fill(client)
    const backup = join(folder, 'noon.backup')
    must(await backUp(client, backup, NOW))
    client.close()
    const there = openDatabase(data)
    new SqliteStore(there).commit({
      updates: [{ room: 'kit', update: note(1), at: 1 }],
      authors: [],
      audit: [],
    })
    const before = rows(there)
    there.close()
    const outcomes: string[] = []
    for (const kib of ROOM) {
      disk.fillBut(kib)
      let restored: ReturnType<typeof restore> | null = null
      const e = trouble(() => void (restored = restore(backup, data, NOW)))
      const done = restored as ReturnType<typeof restore> | null
      outcomes.push(e === null ? (done?.ok ? 'done' : (done?.error.reason ?? '')) : String(e))
      disk.free()
      if (outcomes.at(-1) === 'done') break
      expect(rowsIn(data, openDatabase)).toBe(before)
    }
    expect(outcomes.at(-1)).toBe('done')
    for (const reason of outcomes.slice(0, -1)) expect(reason).toMatch(/disk is full/)
    expect(outcomes.length).toBeGreaterThan(2)
    expect(rowsIn(data, openDatabase)).toBe(rowsIn(other, openDatabase))
  })

  it('the server says so and does not start, or starts and takes no edit; with room again it starts', async () => {
    const start = () => ServerProcess.start({ screens: false, env: { STAGECALL_DATA: disk.folder } })
    const first = await start()
    await first.dispose()
    const file = readFileSync(join(disk.folder, DATABASE_FILE))
    disk.fillBut(0)
    const e = await start().then(
      (server) => server.dispose().then(() => null),
      (why: unknown) => why,
    )
    if (e !== null) expect(String(e)).toMatch(/disk is full/)
    if (e !== null) expect(readFileSync(join(disk.folder, DATABASE_FILE)).equals(file)).toBe(true)
    disk.free()
    await (await start()).dispose()
  }, 120_000)
})
