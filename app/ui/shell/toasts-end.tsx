'use client'
import { useEffect } from 'react'
import { useOpenBoard, useSyncPart } from '../../sync'
import { useToasts } from '../toasts'

/** An offer to undo ends with the board it belongs to: when the phone is out, somebody else joined on it, or another meeting opened. */
export function ToastsEnd() {
  const state = useSyncPart((s) => s.membership.state)
  const meetingId = useSyncPart((s) => s.meetingId)
  const toasts = useToasts()
  const board = useOpenBoard()
  useEffect(() => () => toasts.clear(), [toasts, board, meetingId, state])
  return null
}
