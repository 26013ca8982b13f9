'use client'
import { usePathname } from 'next/navigation'
import { useEffect, useState } from 'react'
import { meetingIdOf } from '../navigation'

const KEY = 'stagecall_meeting'

/** The open meeting, or the one that was open last: from the kit or the crew there is a way back. */
export function useCurrentMeeting(): string | null {
  const open = meetingIdOf(usePathname())
  const [last, setLast] = useState<string | null>(null)
  useEffect(() => {
    try {
      if (open) localStorage.setItem(KEY, open)
      setLast(open ?? localStorage.getItem(KEY))
    } catch {
      // Storage is forbidden: the way back lasts as long as the page.
      if (open) setLast(open)
    }
  }, [open])
  return open ?? last
}
