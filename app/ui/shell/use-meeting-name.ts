'use client'
import { useBoard } from '../../sync'

/** The meeting's name from the kit's list (which every page has), or from its own document. */
export function useMeetingName(meetingId: string | null): string | null {
  const view = useBoard()
  if (meetingId === null) return null
  return view.meetings.get(meetingId)?.name ?? view.meeting.get('meeting')?.name ?? null
}
