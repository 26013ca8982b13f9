'use client'
import { useEffect } from 'react'

/**
 * Keeps the screen awake while mounted and `wanted`, where the browser can (W3C Screen Wake Lock API, secure contexts only). The browser takes the
 * lock away when the page is hidden, so it is asked for again when somebody looks.
 */
export function useWakeLock(wanted = true): void {
  useEffect(() => {
    if (!wanted || !('wakeLock' in navigator)) return
    let lock: WakeLockSentinel | null = null
    let gone = false
    let asking = false
    const ask = async () => {
      if (asking || document.visibilityState !== 'visible' || (lock && !lock.released)) return
      asking = true
      // Refused when the battery is low: the screen then goes out as it always does.
      const got = await navigator.wakeLock.request('screen').catch(() => null)
      asking = false
      if (gone) return void got?.release()
      lock = got
      // Hidden and seen again meanwhile: what came may be gone already.
      if (got?.released) void ask()
    }
    const look = () => void ask()
    look()
    document.addEventListener('visibilitychange', look)
    return () => {
      gone = true
      document.removeEventListener('visibilitychange', look)
      void lock?.release()
    }
  }, [wanted])
}
