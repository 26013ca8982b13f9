'use client'
import { useRouter } from 'next/navigation'
import type { ReactNode } from 'react'
import { useSyncClient } from '@/app/sync'
import { useToasts } from '@/app/ui'
import type { SeasonRow } from './season-messages'

export const debriefOf = (meetingId: string, runId: string): string => `/board/${meetingId}/debrief/${runId}`

/**
 * To a run's debrief. Its page is loaded once a finger, a pointer or the keyboard comes near: a season lists hundreds of runs, and of those hardly one is opened.
 * Without network it opens where the page was kept; elsewhere it says so, instead of leading away.
 */
export function RunLink({
  run,
  children,
}: {
  run: Pick<SeasonRow, 'meetingId' | 'runId'>
  children: ReactNode
}) {
  const router = useRouter()
  const client = useSyncClient()
  const toasts = useToasts()
  const href = debriefOf(run.meetingId, run.runId)
  const isOnline = () => client?.snapshot().online ?? false
  const load = () => {
    if (isOnline()) router.prefetch(href)
  }
  return (
    <a
      href={href}
      onPointerEnter={load}
      onFocus={load}
      onClick={(e) => {
        if (e.ctrlKey || e.metaKey || e.shiftKey || e.altKey) return
        e.preventDefault()
        if (isOnline()) return router.push(href)
        void isKept(href).then((kept) => {
          if (kept) location.assign(href)
          else toasts.say('This debrief is not kept on this phone. It opens when the network is back')
        })
      }}
    >
      {children}
    </a>
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
