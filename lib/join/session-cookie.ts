import type { RandomBytes } from './join-code'

export const SESSION_COOKIE = 'stagecall_session'
export const SESSION_DAYS = 30
const TOKEN_BYTES = 32
const TOKEN = /^[A-Za-z0-9_-]{43}$/

/** A new session token: 256 random bits as base64url. */
export function makeSessionToken(random: RandomBytes): string {
  let binary = ''
  for (const b of random(TOKEN_BYTES)) binary += String.fromCharCode(b)
  return btoa(binary).replaceAll('+', '-').replaceAll('/', '_').replaceAll('=', '')
}

/** The token in a Cookie header (RFC 6265, section 4.2); null when there is none that could be ours. */
export function readSessionCookie(header: string | undefined): string | null {
  if (header === undefined || header.length > 16_384) return null
  for (const pair of header.split(';')) {
    const eq = pair.indexOf('=')
    if (eq < 0 || pair.slice(0, eq).trim() !== SESSION_COOKIE) continue
    const value = pair.slice(eq + 1).trim()
    return TOKEN.test(value) ? value : null
  }
  return null
}

/**
 * The Set-Cookie header of a session. SameSite=Lax and not Strict, so that a link scanned with the phone's camera opens as the person.
 * A null token takes the cookie away.
 */
export function writeSessionCookie(token: string | null, secure: boolean): string {
  const age = token === null ? 0 : SESSION_DAYS * 24 * 3600
  return `${SESSION_COOKIE}=${token ?? ''}; Path=/; Max-Age=${age}; HttpOnly; SameSite=Lax${secure ? '; Secure' : ''}`
}
