import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, expect, it, vi } from 'vitest'
import { SESSION_COOKIE } from '@/lib/join/session-cookie'
import type { SqliteClient } from '@/drizzle/client'
import type { SessionChange } from '@/server/join/live-session'
import { People } from '@/server/join/people'
import { secureRandom } from '@/server/join/secret-hash'
import { SqlSessions } from '@/server/join/sql-sessions'
import { openDatabase } from '@/server/storage/open-database'

let folder: string
let client: SqliteClient
let sessions: SqlSessions
let seen: SessionChange[]
const clock = { at: 0, now: () => clock.at }
let steady = 0

beforeEach(() => {
  clock.at = Date.UTC(2026, 4, 2)
  folder = mkdtempSync(join(tmpdir(), 'stagecall-sessions-'))
  client = openDatabase(folder)
  steady = 0
  sessions = new SqlSessions(client, clock, secureRandom, () => steady)
  seen = []
  sessions.onChange((e) => seen.push(e))
})
afterEach(() => {
  vi.useRealTimers()
  client.close()
  rmSync(folder, { recursive: true })
})

const join_ = (personId: string, role: 'manager' | 'mechanic' = 'mechanic') =>
  client.transact(() => {
    new People(client, clock).put({ id: personId, name: personId, role })
    const { sessionId, token } = sessions.create({ personId, device: 'Android', invitationId: 'i' })
    return { sessionId, cookie: `${SESSION_COOKIE}=${token}` }
  })

it('[S1] a cookie finds its session and no other does', () => {
  const ann = join_('ann')
  expect(sessions.findByCookie(ann.cookie)).toMatchObject({
    sessionId: ann.sessionId,
    name: 'ann',
    role: 'mechanic',
  })
  expect(sessions.findByCookie(ann.cookie.replace(/.$/, (c) => (c === 'A' ? 'B' : 'A')))).toBeNull()
  expect(sessions.findByCookie(undefined)).toBeNull()
})

it('[S11] revoking tells listeners at once, and only about sessions they know', () => {
  const ann = join_('ann')
  const bob = join_('bob')
  sessions.findByCookie(ann.cookie)
  expect(sessions.revoke(ann.sessionId)).toBe(true)
  expect(sessions.revoke(ann.sessionId)).toBe(false)
  sessions.revoke(bob.sessionId)
  expect(seen).toEqual([{ sessionId: ann.sessionId, session: null }])
  expect(sessions.findByCookie(ann.cookie)).toBeNull()
})

it('[S11] a change of role reaches every device of the person', () => {
  const phones = [join_('ann'), join_('ann')]
  phones.forEach((p) => sessions.findByCookie(p.cookie))
  client.transact(() => new People(client, clock).put({ id: 'ann', name: 'Ann', role: 'manager' }))
  sessions.reconcile()
  sessions.reconcile()
  expect(seen.map((e) => [e.sessionId, e.session?.role]).sort()).toEqual(
    phones.map((p) => [p.sessionId, 'manager']).sort(),
  )
})

it('[S11] what another process revokes is noticed by polling', () => {
  vi.useFakeTimers()
  const ann = join_('ann')
  sessions.findByCookie(ann.cookie)
  const stop = sessions.poll(500, (e) => {
    throw e
  })
  vi.advanceTimersByTime(1000)
  expect(seen).toEqual([])
  const other = openDatabase(folder)
  new SqlSessions(other, clock, secureRandom).revoke(ann.sessionId)
  other.close()
  vi.advanceTimersByTime(500)
  expect(seen).toEqual([{ sessionId: ann.sessionId, session: null }])
  stop()
})

it('a session that runs out is reported like a revoked one', () => {
  const ann = join_('ann')
  sessions.findByCookie(ann.cookie)
  clock.at += 31 * 24 * 3600_000
  sessions.reconcile()
  expect(seen).toEqual([{ sessionId: ann.sessionId, session: null }])
})

it('being seen is written at most every half minute', () => {
  const ann = join_('ann')
  const changes = () => client.connection.prepare('SELECT total_changes() AS n').get()
  clock.at += 60_000
  sessions.touch(ann.sessionId)
  expect(sessions.devices()[0]?.lastSeenAt).toBe(clock.at)
  const before = changes()
  clock.at += 29_000
  steady += 29_000
  sessions.touch(ann.sessionId)
  expect(changes()).toEqual(before)
  clock.at += 1_000
  steady += 1_000
  sessions.touch(ann.sessionId)
  expect(sessions.devices()[0]?.lastSeenAt).toBe(clock.at)
})

it('a listener can be taken away', () => {
  const heard: SessionChange[] = []
  const dispose = sessions.onChange((e) => heard.push(e))
  const ann = join_('ann')
  sessions.findByCookie(ann.cookie)
  dispose()
  sessions.revoke(ann.sessionId)
  expect(heard).toEqual([])
})

it('a wall clock that was a day ahead and is right again: devices are seen as before', () => {
  const ann = join_('ann')
  clock.at += 24 * 3600_000
  sessions.touch(ann.sessionId)
  clock.at -= 24 * 3600_000
  steady += 30_000
  sessions.touch(ann.sessionId)
  expect(sessions.devices()[0]?.lastSeenAt).toBe(clock.at)
})

it('sessions that ended long ago are cleared away past the newest thousand', () => {
  const long = 100 * 24 * 3600_000
  client.transact(() => {
    new People(client, clock).put({ id: 'ann', name: 'ann', role: 'guest' })
    for (let i = 0; i < 1_010; i++) {
      clock.at += 1
      sessions.create({ personId: 'ann', device: 'Android', invitationId: 'i' })
    }
  })
  clock.at += long
  join_('bob')
  expect(client.connection.prepare('SELECT count(*) AS n FROM sessions').get()).toEqual({ n: 1_000 })
  expect(sessions.devices().map((d) => d.personId)).toEqual(['bob'])
})
