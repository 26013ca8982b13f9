import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { PassThrough } from 'node:stream'
import { getTableColumns, is } from 'drizzle-orm'
import { getTableConfig, SQLiteTable } from 'drizzle-orm/sqlite-core'
import { afterEach, describe, expect, it } from 'vitest'
import { translated } from '@/drizzle/postgres/statements'
import * as schema from '@/drizzle/schema'
import { SESSION_COOKIE } from '@/lib/join/session-cookie'
import { writeArchive } from '@/server/archive/write-archive'
import { CalendarFeeds } from '@/server/join/calendar-feeds'
import { Invitations } from '@/server/join/invitations'
import { People } from '@/server/join/people'
import { secureRandom } from '@/server/join/secret-hash'
import { SqlSessions } from '@/server/join/sql-sessions'
import { PhotoStore } from '@/server/photos/photo-store'
import { ownStore, type BoardClient } from '@/server/storage/board-client'
import { openDatabase } from '@/server/storage/open-database'
import { emptyBatch } from '@/server/storage/store'
import { must } from '../support/must'
import { hasPostgres, postgresForTests } from './postgres-under-test'

const postgres = postgresForTests()
const undo: (() => void)[] = []
afterEach(() => undo.splice(0).forEach((step) => step()))

function sqlite(): BoardClient {
  const folder = mkdtempSync(join(tmpdir(), 'stagecall-tables-'))
  const client = openDatabase(folder)
  undo.push(() => {
    client.close()
    rmSync(folder, { recursive: true })
  })
  return client
}

async function onPostgres(): Promise<BoardClient> {
  const client = await postgres.open()
  undo.push(() => client.close())
  return client
}

/** What holds for everything that is kept beside the boards, whatever the engine. */
function tablesContract(
  name: string,
  open: () => BoardClient | Promise<BoardClient>,
  isThere: boolean,
): void {
  describe.skipIf(!isThere)(`Tables: ${name}`, () => {
    const clock = { at: Date.UTC(2031, 4, 3), now: () => clock.at }

    it('[S1] people and sessions: joined, found by the cookie, renamed, revoked', async () => {
      const client = await open()
      const people = new People(client, clock)
      const sessions = new SqlSessions(client, clock, secureRandom)
      const join_ = (id: string) =>
        client.transact(() => {
          people.put({ id, name: id, role: 'mechanic' })
          return sessions.create({ personId: id, device: 'phone', invitationId: 'i' })
        })
      const ann = join_('ann')
      join_('bea')
      const cookie = `${SESSION_COOKIE}=${ann.token}`
      expect(sessions.findByCookie(cookie)).toMatchObject({ sessionId: ann.sessionId, role: 'mechanic' })
      expect(sessions.findByCookie(`${cookie.slice(0, -1)}${cookie.endsWith('A') ? 'B' : 'A'}`)).toBeNull()
      client.transact(() => people.put({ id: 'ann', name: 'Ann', role: 'manager' }))
      expect(people.get('ann')).toMatchObject({ name: 'Ann', role: 'manager' })
      const seen: unknown[] = []
      sessions.onChange((e) => seen.push(e.session?.role ?? null))
      sessions.reconcile()
      expect(sessions.revokeOfPerson('ann')).toBe(1)
      expect(seen).toEqual(['manager', null])
      expect(sessions.findByCookie(cookie)).toBeNull()
      expect(sessions.devices().map((d) => d.personId)).toEqual(['bea'])
    })

    it('a transaction that fails leaves nothing of it', async () => {
      const client = await open()
      const people = new People(client, clock)
      const fails = () =>
        client.transact(() => {
          people.put({ id: 'ann', name: 'Ann', role: 'driver' })
          throw new Error('no')
        })
      expect(fails).toThrow('no')
      expect(people.all()).toEqual([])
      // A session of nobody: refused by the engine, and so is all else of the transaction.
      const sessions = new SqlSessions(client, clock, secureRandom)
      const ofNobody = () =>
        client.transact(() => {
          people.put({ id: 'bea', name: 'Bea', role: 'driver' })
          sessions.create({ personId: 'nobody', device: 'phone', invitationId: 'i' })
        })
      expect(ofNobody).toThrow()
      expect(people.all()).toEqual([])
    })

    it('invitations: found by their code, counted, revoked, and old ones cleared away', async () => {
      const client = await open()
      const invitations = new Invitations(client, clock, secureRandom)
      const wish = { role: 'driver', name: 'Ann', hours: 1, singleUse: true, createdBy: 'me' } as const
      const { code, invitation } = invitations.create(wish)
      client.transact(() => invitations.use(invitation.id))
      expect(invitations.find(code)).toEqual({ ...invitation, uses: 1 })
      expect(invitations.revoke(invitation.id)).toBe(true)
      expect(invitations.get(invitation.id)?.revokedAt).toBe(clock.at)
      expect(invitations.revoke('none')).toBe(false)
      clock.at += 60_000
      invitations.create({ ...wish, name: null, singleUse: false })
      expect(invitations.all().map((i) => [i.name, i.singleUse])).toEqual([
        [null, false],
        ['Ann', true],
      ])
    })

    it('calendar feeds: found by their token, listed, closed', async () => {
      const client = await open()
      const feeds = new CalendarFeeds(client, clock, secureRandom)
      const { feed, token } = must(feeds.create({ personId: 'ann', meetingId: 'm1', createdBy: 'me' }))
      expect(feeds.find(token)).toEqual(feed)
      expect(feeds.ofMeeting('m1')).toEqual([feed])
      feeds.revoke(feed.id)
      expect([feeds.find(token), feeds.get(feed.id), ...feeds.ofMeeting('m1')]).toEqual([null, null])
    })

    it('photos: byte for byte, once, and within the board’s room', async () => {
      const client = await open()
      const data = Buffer.from(Uint8Array.from({ length: 5_000 }, (_, i) => i % 256))
      const photo = (hash: string) => ({
        meetingId: 'm1',
        runId: 'r1',
        hash,
        type: 'image/jpeg',
        data,
        personId: 'ann',
      })
      const photos = new PhotoStore(client, clock, 12_000)
      expect([photos.put(photo('a'), new Set()), photos.put(photo('a'), new Set())]).toEqual([
        'stored',
        'stored',
      ])
      expect(photos.put(photo('b'), new Set())).toBe('stored')
      expect(photos.put(photo('c'), new Set())).toBe('board full')
      expect(Buffer.compare(photos.get('m1', 'a')?.data ?? Buffer.alloc(0), data)).toBe(0)
      expect([photos.has('m1', 'b'), photos.has('m1', 'c'), photos.get('m2', 'a')]).toEqual([
        true,
        false,
        null,
      ])
      // Another process adds up the same.
      expect(new PhotoStore(client, clock, 12_000).put(photo('d'), new Set())).toBe('board full')
    })

    it('[S27] an archive is written', async () => {
      const client = await open()
      const store = ownStore(client, 'a test')
      const batch = { ...emptyBatch(), updates: [{ room: 'kit', update: Uint8Array.of(0, 0), at: 1 }] }
      store.commit(batch)
      const written = await writeArchive(client, { kind: 'team' }, new PassThrough().resume(), clock)
      expect(must(written).parts).toBeGreaterThan(3)
      // [P1] Reading takes the room from nobody.
      store.commit(batch)
      expect(store.load('kit').updates).toHaveLength(2)
    })
  })
}

tablesContract('SQLite', sqlite, true)
tablesContract('PostgreSQL', onPostgres, hasPostgres)

describe.skipIf(!hasPostgres)('one schema for two engines', () => {
  it('PostgreSQL has every table and column of SQLite’s, of the kind that holds the same', async () => {
    const client = await postgres.open()
    undo.push(() => client.close())
    const { rows } = client.line.query(
      `SELECT table_name, column_name, data_type, is_nullable FROM information_schema.columns WHERE table_schema = 'public'`,
    )
    const there = new Map(
      rows.map(([table, column, ...rest]) => [`${String(table)}.${String(column)}`, rest]),
    )
    const kinds: Record<string, string> = {
      SQLiteInteger: 'bigint',
      SQLiteBoolean: 'smallint',
      SQLiteText: 'text',
      SQLiteBlobBuffer: 'bytea',
    }
    const wanted = Object.values(schema)
      .filter((table) => is(table, SQLiteTable))
      .flatMap((table) =>
        Object.entries(getTableColumns(table)).map(([key, column]) => {
          const name = key.replace(/[A-Z]/g, (c) => `_${c.toLowerCase()}`)
          const isNullable = column.notNull || column.primary ? 'NO' : 'YES'
          return [`${getTableConfig(table).name}.${name}`, [kinds[column.columnType], isNullable]] as const
        }),
      )
    expect(wanted.length).toBeGreaterThan(60)
    for (const [name, kind] of wanted) expect([name, there.get(name)]).toEqual([name, kind])
    const own = [...there.keys()].filter((name) => !wanted.some(([w]) => w === name))
    expect(new Set(own.map((name) => name.split('.')[0]))).toEqual(new Set(['owners', 'writers']))
  })
})

it('drizzle’s SQL for SQLite is put into PostgreSQL’s words, quoted text untouched', () => {
  expect(translated(`select "a?" from "t" where "b" = ? and "c" = '?''?' limit ?`)).toBe(
    `select "a?" from "t" where "b" = $1 and "c" = '?''?' limit $2`,
  )
  expect(translated('insert into "t" ("id") values (?) on conflict ("t"."id") do update set "id" = ?')).toBe(
    'insert into "t" ("id") values ($1) on conflict ("id") do update set "id" = $2',
  )
})
