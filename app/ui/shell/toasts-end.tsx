'use client'
import { useEffect } from 'react'
import { useOpenBoard, useSyncSnapshot } from '../../sync'
import { useToasts } from '../toasts'

/** An offer to undo ends with the board it belongs to: when the phone is out, somebody else joined on it, or another meeting opened. */
export function ToastsEnd() {
  const { membership, meetingId } = useSyncSnapshot()
  const toasts = useToasts()
  const board = useOpenBoard()
  const state = membership.state
  useEffect(() => () => toasts.clear(), [toasts, board, meetingId, state])
  return null
}
