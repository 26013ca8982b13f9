import { ROLES, type Role } from '@/lib/core/role'
import type { SessionInfo } from '@/lib/join/join-api'
import type { SessionAnswer } from './sync-snapshot'

/** ms; longer than a slow pit network takes, shorter than a person waits. */
const PATIENCE = 4000

/** Who does the server take us for? Anything but a proper answer counts as not reached: nobody is thrown out by a captive portal. */
export async function askSession(): Promise<SessionAnswer> {
  try {
    const response = await fetch('/api/session', { cache: 'no-store', signal: AbortSignal.timeout(PATIENCE) })
    const answer: unknown = response.ok ? await response.json() : null
    return isAnswer(answer) ? { reached: true, session: answer.session } : { reached: false }
  } catch {
    return { reached: false }
  }
}

/** By hand: a page that asks this and nothing else need not load a schema library for it. */
const isAnswer = (answer: unknown): answer is { session: SessionInfo | null } =>
  isObject(answer) && 'session' in answer && (answer['session'] === null || isSession(answer['session']))

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null

function isSession(value: unknown): value is SessionInfo {
  if (!isObject(value)) return false
  const { personId, name, role, deviceId } = value
  return [personId, name, deviceId].every((s) => typeof s === 'string') && ROLES.includes(role as Role)
}
