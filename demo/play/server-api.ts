import type { InviteRequest, InviteResponse, RefusedResponse, SessionResponse } from '@/lib/join/join-api'
import { SESSION_COOKIE } from '@/lib/join/session-cookie'
import { refusalText } from '@/lib/core/result'
import type { Json } from '@/lib/core/json'

/** A device's session: the cookie it got, and what the server calls it. */
export interface Joined {
  cookie: string
  session: NonNullable<SessionResponse['session']>
  serverTime: number
}

async function answer<T>(response: Response, what: string): Promise<T> {
  const body = (await response.json().catch(() => null)) as T | RefusedResponse | null
  if (response.ok && body !== null) return body as T
  const refusal = body !== null && typeof body === 'object' && 'error' in body ? body.error : null
  throw new Error(`${what}: ${refusal ? refusalText(refusal) : `the server answered ${response.status}`}`)
}

/** @throws when nobody answers there. */
async function ask(url: string, init: RequestInit): Promise<Response> {
  try {
    return await fetch(url, { ...init, signal: AbortSignal.timeout(15_000) })
  } catch (cause) {
    throw new Error(`Nobody answers at ${new URL(url).origin}. Is the server running?`, { cause })
  }
}

const post = (url: string, body: unknown, cookie?: string) =>
  ask(url, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json', ...(cookie && { Cookie: cookie }) },
    body: JSON.stringify(body),
  })

/** Join with a code, as the person it is for or under a name. @throws when the server refuses. */
export async function join(
  origin: string,
  code: string,
  who: { personId: string } | { name: string },
): Promise<Joined> {
  const response = await post(`${origin}/api/join`, { code, ...who })
  const { session, serverTime } = await answer<SessionResponse>(response, 'Joining')
  const cookie = response.headers
    .getSetCookie()
    .map((c) => c.split(';')[0] ?? '')
    .find((c) => c.startsWith(`${SESSION_COOKIE}=`))
  if (!session || !cookie) throw new Error('Joining: the server gave no session')
  return { cookie, session, serverTime }
}

/** A new join code, as a manager. @throws when the server refuses. */
export async function invite(origin: string, cookie: string, request: InviteRequest): Promise<string> {
  const response = await post(`${origin}/api/crew/invitations`, request, cookie)
  return (await answer<InviteResponse>(response, 'Inviting')).code
}

export interface HistoryEntry {
  personId: string
  after: Json | null
  outcome: string
}

/** Who wrote one field of a meeting, newest first. */
export async function historyOf(
  origin: string,
  cookie: string,
  at: { room: string; collection: string; recordId: string; field: string },
): Promise<HistoryEntry[]> {
  const response = await ask(`${origin}/api/history?${new URLSearchParams(at)}`, {
    headers: { Cookie: cookie },
  })
  return (await answer<{ entries: HistoryEntry[] }>(response, 'History')).entries
}
