'use client'
import { useRouter } from 'next/navigation'
import { useEffect, useRef } from 'react'
import { meetingOnNow } from '@/app/meeting/meeting-on-now'
import { useBoard, useServerClock } from '@/app/sync'
import { Loading } from '@/app/ui/panels'

/** Straight to the meeting that is on; with none, or several, to the list of them. */
export function StartScreen() {
  const router = useRouter()
  const view = useBoard()
  const clock = useServerClock()
  const asked = useRef('')
  useEffect(() => {
    const meeting = meetingOnNow(view.meetings.live, clock.now())
    const href = meeting ? `/board/${meeting.id}` : '/'
    // Asked again with each edit that comes in, it would undo the first tap on the place that it led to.
    if (asked.current === href) return
    asked.current = href
    router.replace(href)
  }, [router, view, clock])
  return <Loading what="Opening your place" />
}
