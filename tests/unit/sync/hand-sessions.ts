import type { LiveSession, SessionChange, Sessions } from '@/server/join/live-session'

/** Sessions that change when the test says so. */
export class HandSessions implements Sessions {
  readonly touched: string[] = []
  readonly #listeners = new Set<(e: SessionChange) => void>()
  readonly byCookie = new Map<string, LiveSession>()
  findByCookie(cookie: string | undefined) {
    return this.byCookie.get(/stagecall_session=([^;]*)/.exec(cookie ?? '')?.[1] ?? '') ?? null
  }
  onChange(listener: (e: SessionChange) => void) {
    this.#listeners.add(listener)
    return () => void this.#listeners.delete(listener)
  }
  touch(id: string) {
    this.touched.push(id)
  }
  change(sessionId: string, session: LiveSession | null) {
    for (const l of this.#listeners) l({ sessionId, session })
  }
}
