import { joinRequest, previewRequest, type SessionInfo, type SessionResponse } from '@/lib/join/join-api'
import { readSessionCookie, writeSessionCookie } from '@/lib/join/session-cookie'
import type { Clock } from '@/lib/core/clock'
import type { CrewDesk } from '../../join/crew-desk'
import type { JoinDesk } from '../../join/join-desk'
import type { LiveSession } from '../../join/live-session'
import type { SqlSessions } from '../../join/sql-sessions'
import { tooMany } from '../api-handler'
import { reply, replyResult, route, type ApiRoute } from '../api-route'

const info = (s: LiveSession): SessionInfo => ({
  personId: s.personId,
  name: s.name,
  role: s.role,
  deviceId: s.deviceId,
})

/** A code, a name of 200 letters of up to 12 bytes each when escaped, and a person's id. */
const JOIN_BYTES = 4096

export interface JoinRouteParts {
  joinDesk: JoinDesk
  crewDesk: CrewDesk
  sessions: SqlSessions
  clock: Clock
}

/** Joining, leaving, and who this device is. */
export const joinRoutes = ({ joinDesk, crewDesk, sessions, clock }: JoinRouteParts): ApiRoute[] => [
  route({
    method: 'POST',
    path: '/api/join/preview',
    costMs: 2,
    access: 'open',
    always: true,
    bodyBytes: JOIN_BYTES,
    body: previewRequest,
    handle: async ({ body, visitor }) => {
      const answer = await joinDesk.preview(body.code, visitor)
      return answer.slowed
        ? tooMany(answer.slowed.retryAfterMs, answer.slowed.what)
        : replyResult(answer.result, (v) => v)
    },
  }),
  route({
    method: 'POST',
    path: '/api/join',
    costMs: 8,
    access: 'open',
    always: true,
    bodyBytes: JOIN_BYTES,
    body: joinRequest,
    handle: async ({ body, visitor, secure }) => {
      const answer = await joinDesk.join(body, visitor)
      if (answer.slowed) return tooMany(answer.slowed.retryAfterMs, answer.slowed.what)
      if (!answer.result.ok) return replyResult(answer.result, () => null)
      const { session, token } = answer.result.value
      const response: SessionResponse = { session: info(session), serverTime: clock.now() }
      return reply(response, { 'Set-Cookie': writeSessionCookie(token, secure) })
    },
  }),
  route({
    method: 'GET',
    path: '/api/session',
    costMs: 0.3,
    access: 'open',
    always: true,
    handle: async ({ visitor: { session }, cookie, secure }) => {
      if (!session) return reply({ session: null, serverTime: clock.now() } satisfies SessionResponse)
      await crewDesk.followNames()
      sessions.touch(session.sessionId)
      const response: SessionResponse = {
        session: info(sessions.findByCookie(cookie) ?? session),
        serverTime: clock.now(),
      }
      // The cookie's month starts anew with every visit, as the session's does.
      return reply(response, { 'Set-Cookie': writeSessionCookie(readSessionCookie(cookie), secure) })
    },
  }),
  route({
    method: 'POST',
    path: '/api/leave',
    access: 'joined',
    handle: ({ session, secure }) => {
      if (session) sessions.revoke(session.sessionId)
      const response: SessionResponse = { session: null, serverTime: clock.now() }
      return reply(response, { 'Set-Cookie': writeSessionCookie(null, secure) })
    },
  }),
]
