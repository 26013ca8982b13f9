import ICAL from 'ical.js'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { addRecord, runEdit, type EditContext } from '@/lib/board'
import { ok } from '@/lib/core/result'
import type { FeedsResponse, MakeFeedResponse } from '@/lib/join/calendar-api'
import { CalendarFeeds } from '@/server/join/calendar-feeds'
import { secureRandom } from '@/server/join/secret-hash'
import { openDatabase } from '@/server/storage/open-database'
import { verifyDatabase } from '@/server/storage/verify-database'
import { apiServer, type ApiServer } from '../../support/api-server'

const MIN = 60_000
let api: ApiServer
let start: number
let boss: EditContext
let maren: Awaited<ReturnType<ApiServer['join']>>

beforeEach(async () => {
  api = await apiServer()
  maren = await api.join('driver', 'Märén Ödüya-Ångström Øst')
  start = api.clock.at + 60 * MIN
  boss = {
    docs: { kit: api.fake.docOf('kit'), meeting: api.fake.docOf('meeting-open') },
    actor: { personId: 'boss', role: 'manager' },
    clock: api.clock,
  }
  runEdit(boss, 'seed', (w) => {
    w.kit('meetings', 'open', { name: 'Öpen; “Sprïng, twö” ąt thę fär ęnd öf thę vällęy' })
    w.kit('cars', 'rook', { name: 'Rook', driverId: maren.personId })
    w.meeting('meeting', 'meeting', { stagingLeadSeconds: 300, marshalRule: 'after-own-heat' })
    w.meeting('rounds', 'r1', { name: 'Qualifying 1', kind: 'qualifying' })
    for (let i = 0; i < 6; i++)
      w.meeting('heats', `h${i}`, {
        number: i + 1,
        roundId: 'r1',
        raceSeconds: 300,
        plannedStart: start + i * 10 * MIN,
        order: i,
      })
    w.meeting('entries', 'e3', { heatId: 'h3', carId: 'rook' })
    return ok(undefined)
  })
})
afterEach(() => api.close())

const make = async (headers = maren.headers, personId = maren.personId) => {
  const res = await api.send('/api/calendar/feeds', { meetingId: 'open', personId }, headers)
  return { status: res.status, body: (await res.json()) as MakeFeedResponse }
}
const read = async (path: string) => {
  const text = await (await api.get(path)).text()
  const calendar = new ICAL.Component(ICAL.parse(text) as [string, unknown[], unknown[]])
  const events = calendar.getAllSubcomponents('vevent').map((c) => new ICAL.Event(c))
  return { text, calendar, events }
}

describe('a calendar feed', () => {
  it('is iCalendar as RFC 5545 has it, as an independent parser reads it', async () => {
    const { body } = await make()
    const res = await api.get(body.path)
    expect(res.status).toBe(200)
    expect(res.headers.get('content-type')).toBe('text/calendar; charset=utf-8; method=PUBLISH')
    const { text, calendar, events } = await read(body.path)
    // RFC 5545 3.1: lines end with CRLF and are no longer than 75 octets without it.
    expect(text.endsWith('END:VCALENDAR\r\n') || text.endsWith('END:VCALENDAR')).toBe(true)
    expect(text.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/)
    for (const line of text.split('\r\n')) expect(Buffer.byteLength(line), line).toBeLessThanOrEqual(75)
    // 3.6 and 3.7.3, 3.7.4: PRODID and VERSION exactly once; 3.7.2: one METHOD.
    expect(calendar.getAllProperties('prodid')).toHaveLength(1)
    expect(calendar.getAllProperties('version').map((p) => p.getFirstValue())).toEqual(['2.0'])
    expect(calendar.getFirstPropertyValue('method')).toBe('PUBLISH')
    // RFC 7986 5.7: how often to look again.
    expect(String(calendar.getFirstPropertyValue('refresh-interval'))).toBe('PT5M')
    expect(calendar.getAllSubcomponents('vtimezone')).toEqual([])
    // 3.6.1: UID and DTSTAMP exactly once in each event, DTSTART with METHOD; UIDs are unique (3.8.4.7).
    expect(events).toHaveLength(2)
    for (const e of events) {
      for (const name of ['uid', 'dtstamp', 'dtstart', 'dtend'])
        expect(e.component.getAllProperties(name), name).toHaveLength(1)
      // Form 2 of 3.3.5, with UTC: no time zone has to be told.
      for (const name of ['dtstamp', 'dtstart', 'dtend'])
        expect((e.component.getFirstPropertyValue(name) as ICAL.Time).zone).toBe(ICAL.Timezone.utcTimezone)
      expect(e.endDate.compare(e.startDate)).toBe(1)
    }
    expect(new Set(events.map((e) => e.uid)).size).toBe(2)
    // 3.3.11: commas, semicolons and letters beyond ASCII come through.
    expect(calendar.getFirstPropertyValue('x-wr-calname')).toBe(
      'Märén Ödüya-Ångström Øst, Öpen; “Sprïng, twö” ąt thę fär ęnd öf thę vällęy',
    )
  })

  it('holds the run from its call and the marshal duty after it', async () => {
    const { body } = await make()
    const { events } = await read(body.path)
    expect(events.map((e) => e.summary)).toEqual([
      'Drive Heat 4, Qualifying 1, Rook',
      'Marshal Heat 5, Qualifying 1',
    ])
    // Before anything is stamped the forecast stays near the plan: the call is five minutes before the start.
    const off = events.map((e, i) => (e.startDate.toJSDate().getTime() - (start + (25 + i * 10) * MIN)) / MIN)
    for (const minutes of off) expect(Math.abs(minutes)).toBeLessThanOrEqual(3)
    // From the call to the end of a five-minute race.
    for (const e of events) expect(Math.abs(e.duration.toSeconds() - 600)).toBeLessThanOrEqual(60)
  })

  it('follows the forecast: the same entries, moved, with a higher sequence number', async () => {
    const { body } = await make()
    const before = await read(body.path)
    // Three heats start 20 minutes late, and the rest follows.
    for (const i of [0, 1, 2]) {
      api.clock.at = start + (20 + i * 10) * MIN
      runEdit(boss, 'stamp', (w) => {
        w.meeting('heats', `h${i}`, { startedAt: w.stamp(w.at) })
        return ok(undefined)
      })
    }
    const after = await read(body.path)
    expect(after.events.map((e) => e.uid)).toEqual(before.events.map((e) => e.uid))
    for (const [i, e] of after.events.entries()) {
      const was = before.events[i]
      const moved = (e.startDate.toJSDate().getTime() - (was?.startDate.toJSDate().getTime() ?? 0)) / MIN
      expect(moved).toBeGreaterThanOrEqual(18)
      expect(moved).toBeLessThanOrEqual(22)
      expect(e.sequence).toBeGreaterThan(was?.sequence ?? Infinity)
    }
  })

  it('answers 304 as long as nothing moved, and anew when something did', async () => {
    const { body } = await make()
    const tag = (await api.get(body.path)).headers.get('etag') ?? ''
    api.clock.at += 3 * MIN
    const again = await api.get(body.path, { 'if-none-match': tag })
    expect([again.status, await again.text()]).toEqual([304, ''])
    runEdit(boss, 'shift', (w) => {
      for (let i = 0; i < 6; i++) w.meeting('heats', `h${i}`, { plannedStart: start + (i * 10 + 15) * MIN })
      return ok(undefined)
    })
    const moved = await api.get(body.path, { 'if-none-match': tag })
    expect(moved.status).toBe(200)
    expect(moved.headers.get('etag')).not.toBe(tag)
  })

  it('shows jobs until they are done', async () => {
    const { body } = await make()
    const job = addRecord(boss, 'meeting', 'jobs', {
      text: 'Glue tires',
      personId: maren.personId,
      dueAt: start,
    })
    expect((await read(body.path)).events.map((e) => e.summary)).toContain('Glue tires')
    if (!job.ok) throw new Error('refused')
    runEdit(boss, 'done', (w) => {
      w.meeting('jobs', job.value, { done: w.sign() })
      return ok(undefined)
    })
    expect((await read(body.path)).events.map((e) => e.summary)).not.toContain('Glue tires')
  })
})

describe('the address of a feed', () => {
  it('is long, random, kept as a hash only, and never in the log', async () => {
    const { body } = await make()
    const token = /^\/api\/calendar\/([\w-]{43})\.ics$/.exec(body.path)?.[1] ?? 'missing'
    await api.get(body.path)
    api.fake.sync.readRoom = () => Promise.reject(new Error('broken'))
    expect((await api.get(body.path)).status).toBe(500)
    expect(api.log.join()).toContain('/api/calendar/…')
    const db = openDatabase(api.dataFolder)
    const rows = JSON.stringify(db.connection.prepare('SELECT * FROM calendar_feeds').all())
    db.close()
    expect(rows).toContain(maren.personId)
    expect(rows + api.log.join()).not.toContain(token)
  })

  it('is no session: it opens nothing but itself', async () => {
    const { body } = await make()
    const token = body.path.slice('/api/calendar/'.length, -'.ics'.length)
    const headers = { cookie: `stagecall_session=${token}` }
    expect((await api.get('/api/crew/people', headers)).status).toBe(401)
    expect(
      (await api.send('/api/calendar/feeds', { meetingId: 'open', personId: maren.personId }, headers))
        .status,
    ).toBe(401)
    // And a session's token opens no feed.
    const session = maren.cookie.split('=')[1] ?? ''
    expect((await api.get(`/api/calendar/${session}.ics`)).status).toBe(404)
  })

  it('is gone once it is closed, or its person left the board', async () => {
    const one = (await make()).body
    const two = (await make()).body
    const list = (await (
      await api.get('/api/calendar/feeds?meetingId=open', maren.headers)
    ).json()) as FeedsResponse
    expect(list.feeds.map((f) => f.id).sort()).toEqual([one.feed.id, two.feed.id].sort())
    expect((await api.send(`/api/calendar/feeds/${one.feed.id}/revoke`, '', maren.headers)).status).toBe(200)
    expect((await api.get(one.path)).status).toBe(404)
    expect((await api.get(two.path)).status).toBe(200)
    runEdit(boss, 'leave', (w) => {
      w.kit('people', maren.personId, { removed: true })
      return ok(undefined)
    })
    expect((await api.get(two.path)).status).toBe(404)
    expect(verifyDatabase(`${api.dataFolder}/board.db`).problems).toEqual([])
  })

  it('has a limit per person: twenty open ones, closed ones kept in bounds, and so many readings', async () => {
    const made = []
    for (let i = 0; i < 20; i++) made.push(await make())
    expect(made.every((m) => m.status === 200)).toBe(true)
    const beyond = await api.send(
      '/api/calendar/feeds',
      { meetingId: 'open', personId: maren.personId },
      maren.headers,
    )
    expect(beyond.status).toBe(422)
    expect(JSON.stringify(await beyond.json())).toContain('20 open calendar addresses')
    const path = made[0]?.body.path ?? ''
    const reads = await Promise.all(Array.from({ length: 25 }, () => api.get(path)))
    expect(reads.filter((r) => r.status === 200)).toHaveLength(20)
    expect(reads.find((r) => r.status === 429)?.headers.get('retry-after')).toBe('5')
    api.timers.advance(5_000)
    expect((await api.get(path)).status).toBe(200)
    const feeds = new CalendarFeeds(openDatabase(api.dataFolder), api.clock, secureRandom)
    for (const { id } of feeds.ofMeeting('open')) feeds.revoke(id)
    for (let i = 0; i < 120; i++) {
      const one = feeds.create({ personId: maren.personId, meetingId: 'open', createdBy: maren.personId })
      if (!one.ok) throw new Error(one.error.reason)
      feeds.revoke(one.value.feed.id)
    }
    const db = openDatabase(api.dataFolder)
    expect(db.connection.prepare('SELECT count(*) AS n FROM calendar_feeds').get()).toEqual({ n: 81 })
    db.close()
  })

  it('is made, seen and closed by its person and by managers alone', async () => {
    const other = await api.join('mechanic', 'Otto')
    const manager = await api.join('manager', 'Petra')
    expect((await make(other.headers)).status).toBe(403)
    const made = await make(manager.headers)
    expect(made.status).toBe(200)
    const seen = (await (
      await api.get('/api/calendar/feeds?meetingId=open', other.headers)
    ).json()) as FeedsResponse
    expect(seen.feeds).toEqual([])
    const path = `/api/calendar/feeds/${made.body.feed.id}/revoke`
    expect((await api.send(path, '', other.headers)).status).toBe(422)
    expect((await api.get(made.body.path)).status).toBe(200)
    expect((await api.send(path, '', maren.headers)).status).toBe(200)
  })

  it.each([
    [{ meetingId: 'nowhere', personId: 'x' }, 422],
    [{ meetingId: '../kit', personId: 'x' }, 400],
    [{ meetingId: 'open' }, 400],
  ])('is refused for %j', async (body, status) => {
    const manager = await api.join('manager', 'Petra')
    expect((await api.send('/api/calendar/feeds', body, manager.headers)).status).toBe(status)
  })

  it.each(['nonsense.ics', '.ics', `${'a'.repeat(43)}.ics`, 'x'.repeat(5000)])(
    'says so when it is none: %.20s',
    async (file) => expect((await api.get(`/api/calendar/${file}`)).status).toBe(404),
  )
})
