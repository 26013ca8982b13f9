'use client'
import { useDerived } from '@/app/sync'

/** The meeting's name from the kit's list (which every page has), or from its own document. */
export function useMeetingName(meetingId: string | null): string | null {
  return useDerived((board) =>
    meetingId === null
      ? null
      : (board.meetings.get(meetingId)?.name ?? board.meeting.get('meeting')?.name ?? null),
  )
}
