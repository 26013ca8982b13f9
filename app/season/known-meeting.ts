import type { MeetingFacts } from '@/lib/season'
import type { MeetingPlace } from './season-messages'
import type { StoredRoom } from './stored-room'

/** What the season's thread knows of one meeting. */
export interface KnownMeeting {
  place: MeetingPlace
  facts: MeetingFacts | null
  bytes: number | null
  /** The newest of the store's rows that was read, and the life that they are of. */
  last: number
  life: string | null
  /** Kept up while it changes. */
  room: StoredRoom | null
  /** What was fetched and is not stored, Yjs update, encoding 1. */
  held: { update: Uint8Array; generation: string } | null
}

export const UNKNOWN_MEETING: KnownMeeting = {
  place: 'away',
  facts: null,
  bytes: null,
  last: 0,
  life: null,
  room: null,
  held: null,
}
