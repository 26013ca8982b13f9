import { refuse, type Refusal } from '@/lib/core/result'

export type ApiOutcome<T> =
  | { ok: true; value: T }
  | {
      ok: false
      error: Refusal
      /** HTTP status; 0 when the server was not reached. */
      status: number
      /** After too many attempts: how long to wait, s. */
      retryAfterS?: number
    }

/** ms */
const PATIENCE = 15_000

const UNREACHED = refuse(
  'Server',
  '',
  'it does not answer',
  'Stay near the pit’s Wi-Fi and try again. Nothing was changed.',
).error
const GARBLED = refuse(
  'Server',
  '',
  'its answer can’t be read',
  'Check that this phone is on the pit’s own network, then reload the page.',
).error

export const isRefusal = (v: unknown): v is Refusal =>
  typeof v === 'object' &&
  v !== null &&
  ['field', 'value', 'reason', 'remedy'].every((k) => typeof (v as Record<string, unknown>)[k] === 'string')

/**
 * One call of the server's HTTP API. Never throws; whatever goes wrong is a refusal that can be shown. The answer's shape `T` is the one that
 * `lib/join/join-api.ts` and its like declare for both ends.
 */
export async function callApi<T>(path: string, body?: unknown): Promise<ApiOutcome<T>> {
  let response: Response
  try {
    response = await fetch(path, {
      method: body === undefined ? 'GET' : 'POST',
      cache: 'no-store',
      signal: AbortSignal.timeout(PATIENCE),
      ...(body !== undefined && {
        headers: { 'Content-Type': 'application/json' },
        body: JSON.stringify(body),
      }),
    })
  } catch {
    return { ok: false, status: 0, error: UNREACHED }
  }
  const answer: unknown = await response.json().catch(() => null)
  if (response.ok && answer !== null) return { ok: true, value: answer as T }
  const error = (answer as { error?: unknown } | null)?.error
  const retryAfter = Number(response.headers.get('Retry-After'))
  return {
    ok: false,
    status: response.status,
    error: isRefusal(error) ? error : GARBLED,
    ...(retryAfter > 0 && { retryAfterS: retryAfter }),
  }
}
