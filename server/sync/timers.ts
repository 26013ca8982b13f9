import type { Disposer } from '../join/live-session'

/** Time from outside, so that tests turn the handle. */
export interface Timers {
  /** Run once at the end of the current event-loop turn. */
  turn(run: () => void): void
  /** Run once when the socket in hand has been read out, before any other is read. */
  soon(run: () => void): void
  every(ms: number, run: () => void): Disposer
  after(ms: number, run: () => void): Disposer
  /** A clock that only goes forward, ms; the wall clock may jump. */
  steady(): number
}

export const realTimers: Timers = {
  turn: (run) => void setImmediate(run),
  soon: (run) => queueMicrotask(run),
  every: (ms, run) => {
    const t = setInterval(run, ms)
    t.unref()
    return () => clearInterval(t)
  },
  after: (ms, run) => {
    const t = setTimeout(run, ms)
    t.unref()
    return () => clearTimeout(t)
  },
  steady: () => performance.now(),
}
