import type { IncomingMessage } from 'node:http'
import { READS_PACKED } from '@/lib/sync/frames'
import { parseRoomName, type RoomName } from '@/lib/sync/room-name'
import { SESSION_COOKIE } from '@/lib/join/session-cookie'
import { isSameOrigin } from '../http/same-origin'
import type { LiveSession, Sessions } from '../join/live-session'

export type Admission =
  | { ok: true; session: LiveSession; room: RoomName; readsPacked: boolean }
  /** Refused before the handshake, as plain HTTP. */
  | { ok: false; status: 401 | 403 | 404 | 503; reason: string }
  /** The handshake is completed only to say so in a close code: a browser's page can't read an HTTP status here. */
  | { ok: 'ended' }

const PREFIX = '/sync/'

/**
 * [S1] Who may open which room. The room's name is read here and nowhere else; the session comes from the cookie alone, so nothing in the
 * URL can speak for anybody.
 */
export function admit(req: IncomingMessage, sessions: Sessions): Admission {
  const url = parse(req.url)
  const path = url?.pathname
  const room = path?.startsWith(PREFIX) ? parseRoomName(path.slice(PREFIX.length)) : null
  if (!room) return { ok: false, status: 404, reason: 'no such room' }
  if (!isSameOrigin(req)) return { ok: false, status: 403, reason: 'foreign origin' }
  let session: LiveSession | null
  try {
    session = sessions.findByCookie(req.headers.cookie)
  } catch {
    return { ok: false, status: 503, reason: 'sessions can’t be read' }
  }
  if (session) {
    const readsPacked = url?.searchParams.get('packed') === READS_PACKED.packed
    return { ok: true, session, room, readsPacked }
  }
  if (req.headers.cookie?.includes(`${SESSION_COOKIE}=`)) return { ok: 'ended' }
  return { ok: false, status: 401, reason: 'no session' }
}

function parse(url: string | undefined): URL | null {
  try {
    return new URL(url ?? '', 'http://localhost')
  } catch {
    return null
  }
}

const STATUS_TEXT = {
  401: 'Unauthorized',
  403: 'Forbidden',
  404: 'Not Found',
  503: 'Service Unavailable',
} as const

export const refusalResponse = (status: keyof typeof STATUS_TEXT): string =>
  `HTTP/1.1 ${status} ${STATUS_TEXT[status]}\r\nConnection: close\r\nContent-Length: 0\r\n\r\n`
