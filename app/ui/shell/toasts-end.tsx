'use client'
import { usePathname } from 'next/navigation'
import { useLayoutEffect } from 'react'
import { useOpenBoard, useSyncPart } from '@/app/sync'
import { useToasts } from '@/app/ui/toasts'

/** News ends with the page it belongs to, and with the board: when the phone is out, somebody else joined on it, or another meeting opened. */
export function ToastsEnd() {
  const state = useSyncPart((s) => s.membership.state)
  const meetingId = useSyncPart((s) => s.meetingId)
  const path = usePathname()
  const toasts = useToasts()
  const board = useOpenBoard()
  // Gone with the page itself, not a moment after it: a notice that is still there belongs to what is shown.
  useLayoutEffect(() => () => toasts.clear(), [toasts, board, meetingId, state, path])
  return null
}
