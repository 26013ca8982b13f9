import { BoardReading } from '@/lib/board'
import { calendarEntries } from '@/lib/card'
import type { Clock } from '@/lib/core/clock'
import { refuse } from '@/lib/core/result'
import { makeFeedRequest, type FeedsResponse, type MakeFeedResponse } from '@/lib/join/calendar-api'
import { formatRoomName } from '@/lib/sync/room-name'
import type { CalendarFeeds } from '../../join/calendar-feeds'
import type { BoardEditor } from '../../join/kit-people'
import type { LiveSession } from '../../join/live-session'
import { tooMany } from '../api-handler'
import { refused, reply, route, type ApiRoute } from '../api-route'
import { calendarTag, calendarText } from '../calendar-text'
import { TokenBuckets } from '../token-buckets'

export interface CalendarRouteParts {
  feeds: CalendarFeeds
  board: BoardEditor
  clock: Clock
  /** ms of a clock that only goes forward. */
  steady: () => number
  /** Origins that phones on the same network reach, best first. */
  origins: () => string[]
}

/** Reading a day works out a whole board. One person's feeds are read this often together: some at once, then each 5 s. */
const READS = { burst: 20, perSecond: 0.2 }

/** Everybody has a feed of their own; a manager makes them for anybody. */
const mayKeep = (session: LiveSession | null, personId: string): boolean =>
  session?.role === 'manager' || session?.personId === personId

const GONE = refuse(
  'Calendar',
  '',
  'this address was closed or never existed',
  'Make a new one on the duties screen.',
).error

/** Calendar feeds: made and closed by people, read by calendar apps. */
export const calendarRoutes = (parts: CalendarRouteParts): ApiRoute[] => {
  const { feeds, board, clock, steady, origins } = parts
  const reads = new TokenBuckets(READS.burst, READS.perSecond)
  return [
    route({
      method: 'GET',
      path: '/api/calendar/feeds',
      access: 'joined',
      handle: ({ query, session }) => {
        const all = feeds.ofMeeting(query.get('meetingId') ?? '')
        return reply({ feeds: all.filter((f) => mayKeep(session, f.personId)) } satisfies FeedsResponse)
      },
    }),
    route({
      method: 'POST',
      path: '/api/calendar/feeds',
      access: 'joined',
      body: makeFeedRequest,
      handle: async ({ body, session }) => {
        if (!mayKeep(session, body.personId))
          return refused(
            403,
            refuse('Person', '', 'this is somebody else’s calendar', 'They can make it, or a manager can.')
              .error,
          )
        const day = await readDay(board, body.meetingId, body.personId, clock.now())
        if (!day)
          return refused(
            422,
            refuse('Calendar', '', 'there is no such meeting or person', 'Reload the page.').error,
          )
        const made = feeds.create({ ...body, createdBy: session?.personId ?? '' })
        if (!made.ok) return refused(422, made.error)
        const { feed, token } = made.value
        return reply({
          feed,
          path: `/api/calendar/${token}.ics`,
          origins: origins(),
        } satisfies MakeFeedResponse)
      },
    }),
    route({
      method: 'POST',
      path: '/api/calendar/feeds/:id/revoke',
      access: 'joined',
      handle: ({ params, session }) => {
        const feed = feeds.get(params['id'] ?? '')
        if (!feed || !mayKeep(session, feed.personId)) return refused(422, GONE)
        feeds.revoke(feed.id)
        return reply({})
      },
    }),
    route({
      method: 'GET',
      path: '/api/calendar/:file',
      access: 'open',
      always: true,
      handle: async ({ params, ifNoneMatch }) => {
        const token = /^([\w-]+)\.ics$/.exec(params['file'] ?? '')?.[1]
        const feed = token === undefined ? null : feeds.find(token)
        const wait = feed ? reads.take(feed.personId, steady()) : 0
        if (wait > 0) return tooMany(wait, 'Calendar')
        const now = clock.now()
        const day = feed && (await readDay(board, feed.meetingId, feed.personId, now))
        if (!day) return refused(404, GONE)
        const tag = calendarTag(day.name, day.entries)
        const headers = { ETag: tag, 'Cache-Control': 'private, no-cache' }
        if (ifNoneMatch?.split(',').some((t) => t.trim().replace(/^W\//, '') === tag))
          return { status: 304, body: null, headers }
        return {
          status: 200,
          body: null,
          text: calendarText(day.name, day.entries, now),
          headers: {
            ...headers,
            'Content-Type': 'text/calendar; charset=utf-8; method=PUBLISH',
            'Content-Disposition': 'inline; filename="race-day.ics"',
          },
        }
      },
    }),
  ]
}

/** Null when the meeting or the person is not (any more) on the board. */
async function readDay(board: BoardEditor, meetingId: string, personId: string, now: number) {
  const known = await board.readRoom('kit', (kit) => {
    const reading = new BoardReading({ kit, meeting: null })
    const view = reading.view()
    reading.close()
    const meeting = view.meetings.get(meetingId)
    const person = view.people.get(personId)
    return meeting && !meeting.removed && person && !person.removed
      ? { kit, meeting: meeting.name ?? 'Meeting', person: person.name ?? '' }
      : null
  })
  if (!known) return null
  return board.readRoom(formatRoomName({ kind: 'meeting', meetingId }), (meeting) => {
    const reading = new BoardReading({ kit: known.kit, meeting })
    const entries = calendarEntries(reading.view(), meetingId, personId, now)
    reading.close()
    return { name: `${known.person}, ${known.meeting}`, entries }
  })
}
