import { vi } from 'vitest'

/** Time passes only when the test says so; promises go on by themselves. */
export const whileTimersStand = (test: () => Promise<void>) => async () => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] })
  try {
    await test()
  } finally {
    vi.useRealTimers()
  }
}

/** A few turns of the event loop, in which promises and the database in memory go on; no time passes. */
export async function turns(count = 20): Promise<void> {
  for (let i = 0; i < count; i++) await new Promise((resolve) => setImmediate(resolve))
}

/** So many ms pass, and what they set off goes on. */
export async function pass(ms: number): Promise<void> {
  vi.advanceTimersByTime(ms)
  await turns()
}
