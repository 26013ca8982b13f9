import { isIdText } from '../core/id'

export type RoomName = { kind: 'kit' } | { kind: 'meeting'; meetingId: string }

/** `kit` or `meeting-<meetingId>`; null for anything else. */
export function parseRoomName(text: string): RoomName | null {
  if (text === 'kit') return { kind: 'kit' }
  if (!text.startsWith('meeting-')) return null
  const meetingId = text.slice('meeting-'.length)
  return isIdText(meetingId) ? { kind: 'meeting', meetingId } : null
}

export const formatRoomName = (room: RoomName): string =>
  room.kind === 'kit' ? 'kit' : `meeting-${room.meetingId}`
