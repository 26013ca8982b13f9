import type { IncomingMessage, ServerResponse } from 'node:http'
import { pipeline } from 'node:stream/promises'
import type { Logger } from 'pino'
import { refuse, type Refusal } from '@/lib/core/result'
import { DatabaseError } from '@/drizzle/database-error'
import { NotStored } from '../sync/not-stored'
import type { LiveSession, Sessions } from '../join/live-session'
import { refused, type Access, type ApiResponse, type ApiRoute } from './api-route'
import { deviceLabel } from './device-label'
import { readBody, readJsonBody } from './read-body'
import { isSameOrigin } from './same-origin'
import type { RequestTurns } from './request-turns'
import { addressOf, isSecure } from './spoken-for'
import type { TokenBuckets } from './token-buckets'

export interface ApiParts {
  routes: readonly ApiRoute[]
  sessions: Sessions
  /** One bucket per person who has joined, one per address of those who have not. */
  buckets: TokenBuckets
  /** [S25] Whose turn it is, by what they have used of the server's time. */
  turns: RequestTurns
  /** ms of a clock that only goes forward. */
  steady: () => number
  log: Logger
  secure: boolean
}

/** What reading a request and answering it takes at least, ms. */
const LEAST_MS = 0.7
/** The sync looks at least this often whether writing works again. */
const RETRY_STORING_S = 5

const refusal = (...parts: Parameters<typeof refuse>): Refusal => refuse(...parts).error

/** Answers a request under /api/. Never throws. */
export function createApiHandler(parts: ApiParts) {
  return async (req: IncomingMessage, res: ServerResponse, url: URL): Promise<void> => {
    let answer: ApiResponse
    try {
      answer = await respond(parts, req, url)
    } catch (e) {
      answer = troubleResponse(parts.log, req, url, e)
    }
    if (res.destroyed) return void answer.stream?.destroy()
    res.writeHead(answer.status, {
      'Content-Type': 'application/json; charset=utf-8',
      'Cache-Control': 'no-store',
      // The unread rest of a refused body must not be taken for the next request.
      ...(!req.complete && req.method === 'POST' && { Connection: 'close' }),
      ...answer.headers,
    })
    if (answer.stream) {
      // What breaks on the way must not look whole: the connection ends without the last chunk.
      if (req.method === 'HEAD') answer.stream.destroy()
      else return pipeline(answer.stream, res).catch(() => void res.destroy())
    }
    if (answer.status === 304 || answer.stream) res.end()
    else res.end(answer.bytes ?? answer.text ?? JSON.stringify(answer.body))
  }
}

async function respond(parts: ApiParts, req: IncomingMessage, url: URL): Promise<ApiResponse> {
  const address = addressOf(req)
  const session = parts.sessions.findByCookie(req.headers.cookie)
  const found = findRoute(parts.routes, req.method === 'HEAD' ? 'GET' : (req.method ?? ''), url.pathname)
  const payer = { session, address }
  const expected = LEAST_MS + ('status' in found ? 0 : (found.route.costMs ?? 0))
  const away = await parts.turns.take(payer, expected)
  if (away > 0) return tooMany(away, 'Requests')
  if (session || 'status' in found || !found.route.always) {
    const asker = session ? `person ${session.personId}` : `address ${address}`
    const wait = parts.buckets.take(asker, parts.steady())
    if (wait > 0) return tooMany(wait, 'Requests')
  }
  if ('status' in found) return found
  if (req.method === 'POST' && !isSameOrigin(req))
    return refused(
      403,
      refusal('Origin', req.headers.origin, 'the request comes from another site', 'Open the board itself.'),
    )
  const barred = checkAccess(found.route.access, session)
  if (barred) return barred
  let body: unknown
  if (found.route.body) {
    const read = await readJsonBody(req, found.route.bodyBytes)
    if (!read.result.ok) return refused(read.status, read.result.error)
    const parsed = found.route.body.safeParse(read.result.value)
    if (!parsed.success) {
      const issue = parsed.error.issues[0]
      return refused(
        400,
        refusal(
          issue?.path.join('.') || 'Body',
          '',
          issue?.message ?? 'does not fit',
          'Correct it and try again.',
        ),
      )
    }
    body = parsed.data
  }
  if (found.route.raw) {
    const read = await readBody(req, found.route.raw.types, found.route.raw.bytes)
    if (!read.result.ok) return refused(read.status, read.result.error)
    body = read.result.value
  }
  const visitor = { address, device: deviceLabel(req.headers['user-agent']), session }
  const before = parts.steady()
  const answer = found.route.handle({
    params: found.params,
    query: url.searchParams,
    body,
    session,
    visitor,
    cookie: req.headers.cookie,
    secure: isSecure(req, parts.secure),
    ifNoneMatch: req.headers['if-none-match'],
    spend: (ms) => parts.turns.charge(payer, ms),
  })
  parts.turns.charge(payer, parts.steady() - before)
  return answer
}

export const tooMany = (waitMs: number, what: string): ApiResponse => ({
  ...refused(429, refusal(what, '', 'there were too many', `Try again in ${Math.ceil(waitMs / 1000)} s.`)),
  headers: { 'Retry-After': String(Math.ceil(waitMs / 1000)) },
})

function checkAccess(access: Access, session: LiveSession | null): ApiResponse | null {
  if (access === 'open') return null
  if (!session)
    return refused(401, refusal('Session', '', 'this phone has not joined', 'Scan an invitation first.'))
  if (access === 'joined' || access.includes(session.role)) return null
  return refused(
    403,
    refusal('Role', session.role, 'it can’t do this', `Only a ${access.join(' or ')} can do this.`),
  )
}

function findRoute(routes: readonly ApiRoute[], method: string, path: string) {
  let known = false
  for (const route of routes) {
    const params = matchPath(route.path, path)
    if (!params) continue
    if (route.method === method) return { route, params }
    known = true
  }
  return known
    ? refused(405, refusal('Method', method, 'this address does not accept it', 'Reload the page.'))
    : refused(404, refusal('Address', path, 'there is nothing here', 'Reload the page.'))
}

function matchPath(pattern: string, path: string): Record<string, string> | null {
  const [want, got] = [pattern.split('/'), path.split('/')]
  if (want.length !== got.length) return null
  const params: Record<string, string> = {}
  for (const [i, part] of want.entries()) {
    const piece = got[i] ?? ''
    if (part.startsWith(':')) params[part.slice(1)] = piece
    else if (part !== piece) return null
  }
  return params
}

/** A calendar's address holds its token, which no log may keep. */
const withoutToken = (path: string) => path.replace(/^(\/api\/calendar\/)[\w-]{43}/, '$1…')

function troubleResponse(log: Logger, req: IncomingMessage, url: URL, e: unknown): ApiResponse {
  log.error({ err: e, method: req.method, path: withoutToken(url.pathname) }, 'request failed')
  if (e instanceof NotStored || (e instanceof DatabaseError && req.method === 'POST'))
    return {
      ...refused(
        503,
        refusal(
          'Board',
          '',
          `the computer that runs the board can’t save anything right now: ${e.reason}`,
          'Nothing was changed. Tell whoever runs that computer, and try again once it is fixed.',
        ),
      ),
      headers: { 'Retry-After': String(RETRY_STORING_S) },
    }
  if (e instanceof DatabaseError)
    return refused(503, refusal('Board', '', e.reason, 'Nothing was changed. Try again once that is done.'))
  return refused(
    500,
    refusal('Server', '', 'something went wrong', 'Try again. The server’s log says what it was.'),
  )
}
