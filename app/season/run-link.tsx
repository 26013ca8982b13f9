'use client'
import type { ReactNode } from 'react'
import { useSyncClient } from '@/app/sync'
import { useToasts } from '@/app/ui'
import { NearLink } from '@/app/ui/near-link'
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
  const client = useSyncClient()
  const toasts = useToasts()
  const href = debriefOf(run.meetingId, run.runId)
  return (
    <NearLink
      href={href}
      onClick={(e) => {
        if (client?.snapshot().online || e.ctrlKey || e.metaKey || e.shiftKey || e.altKey) return
        e.preventDefault()
        void isKept(href).then((kept) => {
          if (kept) location.assign(href)
          else toasts.say('This debrief is not kept on this phone. It opens when the network is back')
        })
      }}
    >
      {children}
    </NearLink>
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
