import { generationOf } from './life'
import type { RoomClient } from './room-client'
import type { RoomSnapshot } from './room-options'
import type { SyncSnapshot } from './sync-snapshot'

export interface SnapshotParts extends Pick<
  SyncSnapshot,
  'membership' | 'meetingId' | 'store' | 'drafts' | 'outdated'
> {
  kit: RoomClient | null
  meeting: RoomClient | null
  /** All that are open, on screen or not. */
  rooms: readonly RoomClient[]
  /** Whether the server was asked who we are, and answered or could not be reached: before that no line is opened. */
  hasAsked: boolean
}

/** What screens are told of the board in the browser, from its parts as they are. */
export function takeSnapshot({ kit, meeting, rooms, hasAsked, ...told }: SnapshotParts): SyncSnapshot {
  const shown = [kit, meeting].filter((r) => r !== null)
  const isThere = shown.some((r) => r.snapshot.connection === 'live')
  const isHere =
    shown.length === (told.meetingId === null ? 1 : 2) && shown.every((r) => r.snapshot.hasContent)
  return {
    ...told,
    kit: shownAs(kit, hasAsked),
    generation: kit?.life ? generationOf(kit.life) : null,
    meeting: shownAs(meeting, hasAsked),
    pending: rooms.reduce((sum, r) => sum + r.snapshot.pending, 0),
    online: shown.length > 0 && shown.every((r) => r.snapshot.connection === 'live'),
    fetching: isThere && !isHere,
  }
}

/** A line that is not opened yet is not one that is down. The same object until something changed. */
function shownAs(room: RoomClient | null, hasAsked: boolean): RoomSnapshot | null {
  if (room === null) return null
  const { snapshot } = room
  return hasAsked || snapshot.connection !== 'offline' ? snapshot : { ...snapshot, connection: 'connecting' }
}
