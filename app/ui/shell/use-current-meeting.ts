'use client'
import { usePathname } from 'next/navigation'
import { useEffect, useState, useSyncExternalStore } from 'react'
import { useOpenBoard } from '@/app/sync'
import { meetingIdOf } from '@/app/ui/navigation'

const KEY = 'stagecall_meeting'

/** The open meeting, or the one that was open last: from the kit or the crew there is a way back. Null when the kit's list has no such meeting. */
export function useCurrentMeeting(): string | null {
  const open = meetingIdOf(usePathname())
  const isOpenKnown = useIsKnown(open)
  const [last, setLast] = useState<string | null>(null)
  const isLastKnown = useIsKnown(last)
  useEffect(() => {
    const known = open && isOpenKnown ? open : null
    try {
      if (known) localStorage.setItem(KEY, known)
      setLast(known ?? localStorage.getItem(KEY))
    } catch {
      // Storage is forbidden: the way back lasts as long as the page.
      if (known) setLast(known)
    }
  }, [open, isOpenKnown])
  if (open && isOpenKnown) return open
  return isLastKnown ? last : null
}

const never = () => () => undefined

/** Does the kit list the meeting? A mistyped or stale address must not become the place where every tab leads. */
function useIsKnown(meetingId: string | null): boolean {
  const board = useOpenBoard()
  const isKnown = () => {
    const meeting = meetingId === null ? undefined : board?.view().meetings.get(meetingId)
    return meeting !== undefined && !meeting.removed
  }
  return useSyncExternalStore(board?.subscribe ?? never, isKnown, isKnown)
}
