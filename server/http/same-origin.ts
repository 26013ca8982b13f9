import type { IncomingMessage } from 'node:http'

/**
 * Whether a request that changes something comes from our own page. Browsers send Origin with every POST and websocket upgrade, and
 * Sec-Fetch-Site where the page is a secure context (Fetch Metadata); a request with neither is no browser's, and a forged page can't make one.
 */
export function isSameOrigin(req: IncomingMessage): boolean {
  const site = req.headers['sec-fetch-site']
  if (site !== undefined && site !== 'same-origin' && site !== 'none') return false
  const { origin, host } = req.headers
  if (origin === undefined) return true
  try {
    return new URL(origin).host === host?.toLowerCase()
  } catch {
    return false // 'null': sandboxed frames, files
  }
}
