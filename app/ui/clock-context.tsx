'use client'
import { createContext, useCallback, useContext, useSyncExternalStore } from 'react'
import { systemClock, type Clock } from '@/lib/core/clock'
import { everyInterval } from './ticks'

/** Whose time the page shows: the server's, once there is one. */
export const ClockContext = createContext<Clock>(systemClock)

/** The clock that all phones share [S15]. Stable. */
export const useServerClock = (): Clock => useContext(ClockContext)

/**
 * Now on the server's clock, ms since the epoch, cut to whole intervals; the caller renders anew once per interval. 0 on the server and
 * until the page runs.
 */
export function useNow(intervalMs = 1000): number {
  const clock = useServerClock()
  const now = () => Math.floor(clock.now() / intervalMs) * intervalMs
  const subscribe = useCallback(
    (listener: () => void) => everyInterval(clock, intervalMs, listener),
    [clock, intervalMs],
  )
  return useSyncExternalStore(subscribe, now, () => 0)
}
