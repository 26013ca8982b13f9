import type { IncomingMessage, ServerResponse } from 'node:http'
import { HOSTING_HEADER, HOSTING_PATH } from '@/lib/core/hosting-header'

/** What the page is made of besides itself. */
const PARTS = /^\/(_next\/.*|api\/hosting\/.*|icon\.svg|icon1\.png|apple-icon\.png|manifest\.webmanifest)$/

const NO_PAGE = '/nothing-here'

/**
 * At the hosting address there is one page and no board; at a board's there is no such page. True when it was answered; the security headers
 * are set already.
 */
export function answerHosting(
  place: 'board' | 'hosting',
  req: IncomingMessage,
  res: ServerResponse,
  { pathname }: URL,
): boolean {
  // In place of whatever the client wrote there.
  req.headers[HOSTING_HEADER] = place === 'hosting' ? '1' : ''
  if (place === 'board') {
    // A page that turns itself away late would have begun with 200.
    if (pathname === HOSTING_PATH) req.url = req.url?.replace(HOSTING_PATH, NO_PAGE)
    return false
  }
  if (pathname === HOSTING_PATH || PARTS.test(pathname)) return false
  // Whoever came by a wrong address sees where they are.
  if (pathname === '/' || req.headers.accept?.includes('text/html') === true)
    res.writeHead(302, { Location: HOSTING_PATH, 'Cache-Control': 'no-store' }).end()
  else {
    res.writeHead(404, { 'Content-Type': 'text/plain; charset=utf-8', 'Cache-Control': 'no-store' })
    res.end(`There is nothing here. Teams are made at ${HOSTING_PATH}.\n`)
  }
  return true
}
