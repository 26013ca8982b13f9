import { BUILD_HEADER } from '@/lib/core/build-header'
import type { BuildCache } from './build-cache'
import { nothingKeptPage } from './nothing-kept-page'

/** ms until the kept page is shown although the network may still answer. */
const PATIENCE = 4000

export interface AnswerParts {
  kept: BuildCache
  fetch: (request: Request) => Promise<Response>
  /** Resolves after so many ms. */
  wait: (ms: number) => Promise<void>
  origin: string
}

/** What of a `FetchEvent` is looked at. */
export interface Asked {
  request: Request
  /** The worker is not stopped before this has ended. */
  waitUntil: (work: Promise<unknown>) => void
}

/** What the service worker answers, and how; null for everything that goes its way as if there were none. Data never pass through here. */
export function answerTo(parts: AnswerParts, asked: Asked): Promise<Response> | null {
  const { method, url: address, mode } = asked.request
  const url = new URL(address)
  if (method !== 'GET' || url.origin !== parts.origin) return null
  if (url.pathname.startsWith('/_next/static/')) return assetAnswer(parts, asked.request, url.pathname)
  if (mode === 'navigate' && !url.pathname.startsWith('/api/')) return pageAnswer(parts, asked, url.pathname)
  return null
}

/** Files carry their content's hash in their name: the kept one is always right. */
async function assetAnswer({ kept, fetch }: AnswerParts, request: Request, path: string): Promise<Response> {
  const found = await kept.asset(path)
  if (found) return found
  if (!kept.isOwnAsset(path)) return fetch(request)
  // What does not prove to be the file is passed on, as it would be without a service worker, but not kept.
  return kept.fetchAsset(path).catch(() => fetch(request))
}

/**
 * Pages come from the network while it answers soon, else from what was kept. Where a page is kept, only the board's own answer takes its place: a
 * network that answers with its own sign-in page is as good as none.
 */
async function pageAnswer(
  { kept, fetch, wait }: AnswerParts,
  { request, waitUntil }: Asked,
  path: string,
): Promise<Response> {
  const fresh = fetch(request)
  const keeping = fresh.then((response) => kept.keepPage(path, response))
  waitUntil(keeping.catch(() => undefined))
  const page = await kept.page(path)
  if (!page) return fresh.catch(async () => nothingKept(kept))
  return Promise.race([
    fresh.then(
      (response) => (response.headers.has(BUILD_HEADER) ? response : page),
      () => page,
    ),
    wait(PATIENCE).then(() => page),
  ])
}

/** The page asked for was never open here: the list of meetings leads on. */
const nothingKept = async (kept: BuildCache): Promise<Response> =>
  (await kept.page('/')) ? Response.redirect('/', 302) : nothingKeptPage()
