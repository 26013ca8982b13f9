'use client'
import { useEffect, useState } from 'react'
import { useNow } from '@/app/ui/clock-context'
import { useSyncPart } from './sync-context'

const keyOf = (meetingId: string) => `stagecall_heard_${meetingId}`
/** ms between two notes while the line is up. */
const NOTE_EVERY = 10_000

/** When this device was last up to date with the server on a meeting, ms on the server's clock; null when it never was, or can't remember. */
export function useLastHeard(meetingId: string): number | null {
  const now = useNow(NOTE_EVERY)
  const online = useSyncPart((s) => s.online)
  const [heardAt, setHeardAt] = useState<number | null>(null)
  useEffect(() => {
    try {
      if (online && now > 0) localStorage.setItem(keyOf(meetingId), String(now))
      const kept = Number(localStorage.getItem(keyOf(meetingId)))
      setHeardAt(kept > 0 ? kept : null)
    } catch {
      // A browser that keeps nothing: as long as the page stands it knows by itself.
      if (online && now > 0) setHeardAt(now)
    }
  }, [meetingId, online, now])
  return heardAt
}
