'use client'
import { useCallback, useEffect, useState } from 'react'
import type { Notice, NoticeReadRequest, NoticeResponse } from '@/lib/sync/loss-notice'
import { useSyncPart } from '@/app/sync'
import { callApi } from '@/app/ui/call-api'
import { useToasts } from '@/app/ui/toasts'

/** ms; another manager may have read it meanwhile. */
const EVERY = 30_000

/** [S26] What managers must be told about lost edits, and how it is taken as read. It only comes with a start, so a new connection asks. */
export function useLostNotice(): { notice: Notice | null; read: () => Promise<void> } {
  const isManager = useSyncPart(
    (s) => s.membership.state === 'member' && s.membership.session.role === 'manager',
  )
  const online = useSyncPart((s) => s.online)
  const [notice, setNotice] = useState<Notice | null>(null)
  const toasts = useToasts()
  const isShown = notice !== null

  const ask = useCallback(async () => {
    const answer = await callApi<NoticeResponse>('/api/notice')
    if (answer.ok) setNotice(answer.value.notice)
  }, [])

  useEffect(() => {
    if (!isManager || !online) return
    void ask()
    if (!isShown) return
    const timer = setInterval(() => void ask(), EVERY)
    return () => clearInterval(timer)
  }, [isManager, online, isShown, ask])

  const read = async () => {
    if (notice === null) return
    const done = await callApi('/api/notice/read', { at: notice.at } satisfies NoticeReadRequest)
    if (!done.ok) toasts.refused(done.error)
    await ask()
  }
  return { notice: isManager ? notice : null, read }
}
