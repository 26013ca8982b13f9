import { randomBytes } from 'node:crypto'
import type { IncomingMessage, ServerResponse } from 'node:http'
import type { Logger } from 'pino'
import type { Health } from './health'
import { answerHosting } from './hosting-place'
import { contentSecurityPolicy, setSecurityHeaders } from './security-headers'

/** Renders pages and serves their assets: Next, or nothing in tests of the API. */
export type Screens = (req: IncomingMessage, res: ServerResponse) => Promise<void>

/** What is answered by scripts, data and files. Scripts have a policy of their own as workers, in which no nonce is of use. */
const NO_PAGES = ['/api/', '/_next/', '/_workers/', '/sw.js']

export interface ListenerParts {
  api: (req: IncomingMessage, res: ServerResponse, url: URL) => Promise<void>
  screens: Screens | null
  health: () => Health
  /** Why no phone should be sent here now; null when it may. */
  whyNotReady: () => string | null
  metrics: (req: IncomingMessage, res: ServerResponse) => Promise<void>
  log: Logger
  secure: boolean
  dev: boolean
  placeOf: PlaceOf
}

/** What a Host header leads to: a board, or the page where teams are made; null for a name that is not ours. */
export type PlaceOf = (host: string | undefined) => 'board' | 'hosting' | null

/** Everything that arrives over HTTP passes here first. */
export function createRequestListener(parts: ListenerParts) {
  return (req: IncomingMessage, res: ServerResponse): void => {
    listen(parts, req, res).catch((e: unknown) => {
      parts.log.error({ err: e, method: req.method }, 'request failed')
      if (res.headersSent) res.destroy()
      else plain(res, 500, 'Something went wrong here; the server’s log says what it was.')
    })
  }
}

async function listen(parts: ListenerParts, req: IncomingMessage, res: ServerResponse): Promise<void> {
  const url = parseUrl(req.url)
  if (!url) return plain(res, 400, 'The address can’t be read.')
  if (url.pathname === '/healthz') return health(parts, res)
  if (url.pathname === '/healthz/live') return plain(res, 200, 'live')
  if (url.pathname === '/healthz/ready') return ready(parts, res)
  if (url.pathname === '/metrics') return parts.metrics(req, res)
  const { host = '' } = req.headers
  const place = parts.placeOf(host)
  if (place === null)
    return plain(
      res,
      421,
      'This is not an address of the board. Open it by its IP address, or add the name to STAGECALL_HOSTS.',
    )
  const isPage = !NO_PAGES.some((prefix) => url.pathname.startsWith(prefix))
  const nonce = isPage ? randomBytes(16).toString('base64') : null
  const policy = contentSecurityPolicy({ host, secure: parts.secure, nonce, dev: parts.dev })
  setSecurityHeaders(res, policy)
  if (answerHosting(place, req, res, url)) return
  if (url.pathname.startsWith('/api/')) return parts.api(req, res, url)
  if (req.method !== 'GET' && req.method !== 'HEAD') return plain(res, 405, 'Pages can only be read.')
  if (!parts.screens) return plain(res, 404, 'This server runs without screens.')
  // Next takes the nonce for its scripts from the request's policy; whatever the client wrote there is overwritten.
  if (isPage) req.headers['content-security-policy'] = policy
  else delete req.headers['content-security-policy']
  return parts.screens(req, res)
}

/** The request's path and query; null for anything that is not a plain absolute path. */
export function parseUrl(target: string | undefined): URL | null {
  if (target === undefined || !target.startsWith('/') || target.startsWith('//')) return null
  try {
    return new URL(target, 'http://board.invalid')
  } catch {
    return null
  }
}

function health(parts: ListenerParts, res: ServerResponse): void {
  const health = parts.health()
  setSecurityHeaders(res, `default-src 'none'; frame-ancestors 'none'`)
  res.writeHead(health.status === 'ok' ? 200 : 503, {
    'Content-Type': 'application/json; charset=utf-8',
    'Cache-Control': 'no-store',
  })
  res.end(JSON.stringify(health))
}

/** For whoever sends phones here: that the process answers says nothing of the board. */
function ready({ whyNotReady }: ListenerParts, res: ServerResponse): void {
  const reason = whyNotReady()
  plain(res, reason === null ? 200 : 503, reason ?? 'ready')
}

function plain(res: ServerResponse, status: number, text: string): void {
  setSecurityHeaders(res, `default-src 'none'; frame-ancestors 'none'`)
  res.writeHead(status, { 'Content-Type': 'text/plain; charset=utf-8', 'Cache-Control': 'no-store' })
  res.end(text + '\n')
}
