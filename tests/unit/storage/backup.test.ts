import {
  copyFileSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { readMigrationFiles } from 'drizzle-orm/migrator'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import * as Y from 'yjs'
import { writeField } from '@/lib/board'
import { canonicalJson } from '@/lib/core/json'
import { openClient, type SqliteClient } from '@/drizzle/client'
import { Invitations } from '@/server/join/invitations'
import { People } from '@/server/join/people'
import { secureRandom } from '@/server/join/secret-hash'
import { SqlSessions } from '@/server/join/sql-sessions'
import { backUp, manifestFile, verifyFile } from '@/server/storage/backup'
import { DATABASE_FILE } from '@/server/storage/database-file'
import { openDatabase } from '@/server/storage/open-database'
import { exportRoom } from '@/server/storage/read-room-doc'
import { restore } from '@/server/storage/restore'
import { SqliteStore } from '@/server/storage/sqlite-store'

const NOW = Date.UTC(2026, 4, 2, 9)
const clock = { now: () => NOW }
let folder: string
let data: string
let client: SqliteClient
let backup: string

/** A small team's day: two rooms with snapshot and updates, an audit trail, people, devices, invitations. */
function fill(client: SqliteClient): void {
  const store = new SqliteStore(client)
  for (const room of ['kit', 'meeting-spring']) {
    const doc = new Y.Doc()
    const updates: Uint8Array[] = []
    doc.on('update', (u: Uint8Array) => updates.push(u))
    const [collection, field] = room === 'kit' ? ['packs', 'label'] : ['heats', 'title']
    for (let i = 0; i < 60; i++) writeField(doc, collection!, `r${i % 20}`, field!, `value ${i}`)
    store.commit({
      updates: updates.map((update, i) => ({ room, update, at: NOW + i })),
      authors: [{ room, clientId: doc.clientID, personId: 'ann' }],
      audit: updates.map((_, i) => ({
        room,
        at: NOW + i,
        personId: 'ann',
        deviceId: 'phone',
        collection: collection!,
        recordId: `r${i % 20}`,
        field: field!,
        before: i < 20 ? null : `value ${i - 20}`,
        after: `value ${i}`,
        outcome: 'accepted' as const,
      })),
    })
    if (room === 'kit') store.compact(room, Y.encodeStateAsUpdateV2(replay(updates.slice(0, 30))), 30)
  }
  new Invitations(client, clock, secureRandom).create({
    role: 'driver',
    name: null,
    hours: 12,
    singleUse: true,
    createdBy: 'ann',
  })
  client.transact(() => {
    new People(client, clock).put({ id: 'ann', name: 'Ann', role: 'manager' })
    new SqlSessions(client, clock, secureRandom).create({
      personId: 'ann',
      device: 'Android',
      invitationId: 'i',
    })
  })
}
const replay = (updates: Uint8Array[]) => {
  const doc = new Y.Doc()
  updates.forEach((u) => Y.applyUpdate(doc, u))
  return doc
}
const boards = (client: SqliteClient) => {
  const store = new SqliteStore(client)
  return canonicalJson(Object.fromEntries(store.rooms().map((room) => [room, exportRoom(store, room)])))
}
/** Everything that the file's tables hold; throws when it can't be read. */
const contents = (file: string) => {
  const c = openClient(file, { readonly: true })
  try {
    const tables = c.connection.prepare(`SELECT name, sql FROM sqlite_master ORDER BY name`).all() as {
      name: string
    }[]
    const rows = tables
      .filter((t) => !t.name.includes('_by_') && !t.name.includes('unique') && !t.name.includes('autoindex'))
      .map((t) => c.connection.prepare(`SELECT * FROM "${t.name}"`).all())
    return JSON.stringify([tables, rows])
  } finally {
    c.close()
  }
}
const flip = (file: string, offset: number, bit = 1) => {
  const bytes = readFileSync(file)
  bytes[offset] = bytes[offset]! ^ bit
  writeFileSync(file, bytes)
}

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'stagecall-backup-'))
  data = join(folder, 'data')
  client = openDatabase(data)
  fill(client)
  backup = join(folder, 'saturday.backup')
})
afterEach(() => {
  client.close()
  rmSync(folder, { recursive: true })
})

describe('backup and restore', () => {
  it('a backup taken while the board is open is one sound file with its manifest', async () => {
    const made = await backUp(client, backup, NOW)
    expect(made).toMatchObject({ ok: true, value: { rows: { updates: 90, audit: 120, snapshots: 1 } } })
    expect(verifyFile(backup)).toMatchObject({ problems: [], manifest: true })
    const again = await backUp(client, backup, NOW)
    expect(!again.ok && again.error.reason).toBe('it exists already')
  })

  it('of two backups to one name at one moment, one is made and the other refused', async () => {
    const other = openDatabase(data)
    const made = await Promise.all([backUp(client, backup, NOW), backUp(other, backup, NOW)])
    other.close()
    expect(made.filter((m) => m.ok)).toHaveLength(1)
    expect(made.find((m) => !m.ok)).toMatchObject({ error: { reason: 'it exists already' } })
    expect(verifyFile(backup)).toMatchObject({ problems: [], manifest: true })
    expect(readdirSync(folder).sort()).toEqual(['data', 'saturday.backup', 'saturday.backup.manifest.json'])
    expect(statSync(backup).mode & 0o777).toBe(0o600)
  })

  it('a backup that can’t be written says why and leaves nothing', async () => {
    const nowhere = join(folder, 'none', 'a.backup')
    expect(await backUp(client, nowhere, NOW)).toMatchObject({
      ok: false,
      error: { field: 'Folder', reason: 'there is no such folder' },
    })
    const real = client.connection.backup.bind(client.connection)
    client.connection.backup = async (file) => {
      await real(file)
      throw Object.assign(new Error('database or disk is full'), { code: 'SQLITE_FULL' })
    }
    const full = await backUp(client, backup, NOW)
    expect(!full.ok && full.error.reason).toMatch(/^the disk is full/)
    expect(readdirSync(folder)).toEqual(['data'])
  })

  it('a restore gives a byte-equal board', async () => {
    const before = boards(client)
    await backUp(client, backup, NOW)
    new SqliteStore(client).commit({
      updates: [{ room: 'meeting-later', update: Y.encodeStateAsUpdate(replay([])), at: NOW }],
      authors: [],
      audit: [],
    })
    client.close()
    const done = restore(backup, data, NOW)
    expect(done.ok && done.value.kept).toContain(`${DATABASE_FILE}.before-2026-05-02`)
    client = openDatabase(data)
    expect(boards(client)).toBe(before)
    expect(new SqliteStore(client).history({ room: 'kit', limit: 500 })).toHaveLength(60)
  })

  it('a restore onto a new machine works too', async () => {
    await backUp(client, backup, NOW)
    const elsewhere = join(folder, 'elsewhere')
    openDatabase(elsewhere).close()
    expect(restore(backup, elsewhere, NOW).ok).toBe(true)
    const other = openDatabase(elsewhere)
    expect(boards(other)).toBe(boards(client))
    other.close()
  })

  it('[S11] a device revoked after the backup stays out after the restore', async () => {
    await backUp(client, backup, NOW)
    const sessions = new SqlSessions(client, clock, secureRandom)
    sessions.revoke(sessions.devices()[0]!.sessionId)
    client.close()
    expect(restore(backup, data, NOW).ok).toBe(true)
    client = openDatabase(data)
    expect(new SqlSessions(client, clock, secureRandom).devices()).toEqual([])
    expect(verifyFile(join(data, DATABASE_FILE)).problems).toEqual([])
  })

  it('[S23] a database keeps its generation; every restore begins another', async () => {
    const first = new SqliteStore(client).generation
    await backUp(client, backup, NOW)
    client.close()
    client = openDatabase(data)
    expect(new SqliteStore(client).generation).toBe(first)
    const seen = new Set([first])
    for (let n = 1; n <= 2; n++) {
      client.close()
      expect(restore(backup, data, NOW + n).ok).toBe(true)
      expect(verifyFile(join(data, DATABASE_FILE)).problems).toEqual([])
      client = openDatabase(data)
      seen.add(new SqliteStore(client).generation)
    }
    expect(seen.size).toBe(3)
  })

  it('[S23] a generation that is missing, doubled or changed by damage is found', () => {
    const file = join(data, DATABASE_FILE)
    const problems = (sql: string) => {
      client.connection.exec(`BEGIN; ${sql}`)
      client.connection.exec('COMMIT')
      return verifyFile(file).problems.join()
    }
    expect(problems(`UPDATE generations SET generation = 'other'`)).toContain(
      'of generations is not as it was',
    )
    expect(() => new SqliteStore(client).generation).toThrow('generation')
    expect(problems(`DELETE FROM generations`)).toContain('generation is not one row')
    expect(() => new SqliteStore(client).generation).toThrow('generation')
  })

  it('a damaged backup is not restored', async () => {
    await backUp(client, backup, NOW)
    flip(backup, readFileSync(backup).length - 500)
    client.close()
    const refused = restore(backup, data, NOW)
    expect(!refused.ok && refused.error.reason).toMatch(/SHA-256/)
    client = openDatabase(data)
    expect(boards(client)).toContain('value 59')
  })
})

describe('verify', () => {
  it('finds nothing wrong with the live database', () => {
    expect(verifyFile(join(data, DATABASE_FILE))).toMatchObject({ problems: [], manifest: false })
  })

  it('finds a flipped byte in a copied database, wherever it matters', async () => {
    await backUp(client, backup, NOW)
    rmSync(manifestFile(backup))
    const copy = join(folder, 'copy.db')
    const whole = contents(backup)
    const size = readFileSync(backup).length
    const missed: number[] = []
    let harmless = 0
    // A stride that is prime to the page size visits every kind of place.
    for (let offset = 0; offset < size; offset += 419) {
      copyFileSync(backup, copy)
      flip(copy, offset, 1 << (offset % 8))
      if (verifyFile(copy).problems.length > 0) continue
      // Not found: then the byte must lie in unused space, so that the database says just what it said.
      let same = false
      try {
        same = contents(copy) === whole
      } catch {
        // an unreadable copy that verify let pass: counted as missed
      }
      if (same) harmless++
      else missed.push(offset)
    }
    expect(missed).toEqual([])
    expect(harmless).toBeLessThan(size / 419)
  }, 120_000)

  it('with the manifest finds a flipped byte anywhere', async () => {
    await backUp(client, backup, NOW)
    for (let offset = 3; offset < readFileSync(backup).length; offset += 4999) {
      flip(backup, offset)
      expect(verifyFile(backup).problems).toContain('The file’s SHA-256 is not the one in its manifest')
      flip(backup, offset)
    }
    expect(verifyFile(backup).problems).toEqual([])
  })

  it.each([
    ['a byte of an update', `UPDATE updates SET data = x'00' WHERE seq = 70`, /updates is not as it was/],
    ['an audited value', `UPDATE audit SET after = '"forged"' WHERE seq = 3`, /Row 3 of audit/],
    ['a role', `UPDATE people SET role = 'guest'`, /of people/],
    ['a revocation', `UPDATE sessions SET revoked_at = 5`, /of sessions/],
    ['a missing update', `DELETE FROM updates WHERE seq = 62`, /Room meeting-spring/],
  ])('finds %s changed behind the server’s back', (_, sql, problem) => {
    client.connection.exec(sql)
    expect(verifyFile(join(data, DATABASE_FILE)).problems.join('\n')).toMatch(problem)
  })

  it('a backup by an earlier version, which lacks later tables, is sound; one that lacks a table it claims is not', () => {
    const early = join(folder, 'early.db')
    const c = openClient(early)
    const first = readMigrationFiles({
      migrationsFolder: fileURLToPath(new URL('../../../drizzle/migrations', import.meta.url)),
    })[0]!
    for (const sql of first.sql) c.connection.exec(sql)
    c.connection.exec(
      'CREATE TABLE IF NOT EXISTS "__drizzle_migrations" (\n\t\t\t\tid SERIAL PRIMARY KEY,\n\t\t\t\thash text NOT NULL,\n\t\t\t\tcreated_at numeric\n\t\t\t)',
    )
    c.connection
      .prepare('INSERT INTO __drizzle_migrations (hash, created_at) VALUES (?, ?)')
      .run(first.hash, first.folderMillis)
    c.close()
    expect(verifyFile(early).problems).toEqual([])
    const damaged = openClient(early)
    damaged.connection.exec('DROP TABLE invitations')
    damaged.close()
    expect(verifyFile(early).problems.join()).toMatch(/table invitations is missing/)
  })

  it('names a file that is missing or no database', () => {
    expect(verifyFile(join(folder, 'none')).problems).toEqual([`There is no file ${join(folder, 'none')}`])
    writeFileSync(backup, 'not a database'.repeat(100))
    expect(verifyFile(backup).problems.join()).toMatch(/damaged/)
  })
})
