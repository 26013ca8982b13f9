import { refuse, type Refusal } from '@/lib/core/result'
import { isRefusal } from '@/app/ui/call-api'

const AWAY = refuse(
  'Server',
  '',
  'it does not answer',
  'Stay near the pit’s Wi-Fi and choose the file again. If it was already being imported, that goes on.',
).error

/** What the server refused, or that it was not reached. */
export class AskError extends Error {
  constructor(
    readonly refusal: Refusal,
    /** HTTP status; 0 when the server was not reached. */
    readonly status: number,
    /** How long to stay away, ms, where it said so. */
    readonly waitMs: number,
  ) {
    super(refusal.reason)
  }
}

/** As `callApi`, without its patience: the server reads all of an archive before it answers. @throws AskError */
export async function askServer<T>(path: string, body: unknown): Promise<T> {
  const isBytes = body instanceof Blob
  let response: Response
  try {
    response = await fetch(path, {
      method: 'POST',
      headers: { 'Content-Type': isBytes ? 'application/octet-stream' : 'application/json' },
      body: isBytes ? body : JSON.stringify(body),
    })
  } catch {
    throw new AskError(AWAY, 0, 0)
  }
  const answer: unknown = await response.json().catch(() => null)
  if (response.ok && answer !== null) return answer as T
  const error = (answer as { error?: unknown } | null)?.error
  const waitS = Number(response.headers.get('Retry-After'))
  throw new AskError(isRefusal(error) ? error : AWAY, response.status, waitS > 0 ? waitS * 1000 : 0)
}

const FIRST_WAIT_MS = 1_000
const LONGEST_WAIT_MS = 15_000
/** Tries in a row that reach nobody: half a minute or so. */
const TRIES = 6

const sleep = (ms: number) => new Promise<void>((resolve) => setTimeout(resolve, ms))

/**
 * Ask again while the server has no time (429), and where asking twice does no harm, while it is not reached (0), as on a pit's Wi-Fi.
 * @throws AskError when it has tried enough, or was refused.
 */
export async function askAgain<T>(
  ask: () => Promise<T>,
  after: readonly (429 | 0)[],
  wait: (ms: number) => Promise<void> = sleep,
): Promise<T> {
  const again = new Set<number>(after)
  for (let tries = 1; ; tries++)
    try {
      return await ask()
    } catch (e) {
      if (!(e instanceof AskError) || !again.has(e.status) || tries >= TRIES) throw e
      await wait(e.waitMs || Math.min(FIRST_WAIT_MS * 2 ** (tries - 1), LONGEST_WAIT_MS))
    }
}
