'use client'
import type { ReactNode } from 'react'
import { useSyncPart } from '@/app/sync'
import { Link, useToasts } from '@/app/ui'
import type { SeasonRow } from './season-messages'

export const debriefOf = (meetingId: string, runId: string): string => `/board/${meetingId}/debrief/${runId}`

/** To a run's debrief. Without network it opens where the page was kept; elsewhere it says so, instead of leading away. */
export function RunLink({
  run,
  children,
}: {
  run: Pick<SeasonRow, 'meetingId' | 'runId'>
  children: ReactNode
}) {
  const isOnline = useSyncPart((s) => s.online)
  const toasts = useToasts()
  const href = debriefOf(run.meetingId, run.runId)
  return (
    <Link
      href={href}
      onClick={(e) => {
        if (isOnline || e.ctrlKey || e.metaKey || e.shiftKey) return
        e.preventDefault()
        void isKept(href).then((kept) => {
          if (kept) location.assign(href)
          else toasts.say('This debrief is not kept on this phone. It opens when the network is back')
        })
      }}
    >
      {children}
    </Link>
  )
}

async function isKept(path: string): Promise<boolean> {
  // Plain HTTP has no such storage.
  if (!('caches' in window)) return false
  return caches.match(path, { ignoreVary: true }).then(
    (found) => found !== undefined,
    () => false,
  )
}
