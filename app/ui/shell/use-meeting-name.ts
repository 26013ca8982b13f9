'use client'
import { useBoardPart } from '../../sync'

/** The meeting's name from the kit's list (which every page has), or from its own document. */
export function useMeetingName(meetingId: string | null): string | null {
  return useBoardPart((view) =>
    meetingId === null
      ? null
      : (view.meetings.get(meetingId)?.name ?? view.meeting.get('meeting')?.name ?? null),
  )
}
