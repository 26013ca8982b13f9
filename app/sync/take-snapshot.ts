import { generationOf } from './life'
import type { RoomClient } from './room-client'
import type { SyncSnapshot } from './sync-snapshot'

export interface SnapshotParts extends Pick<
  SyncSnapshot,
  'membership' | 'meetingId' | 'store' | 'drafts' | 'outdated'
> {
  kit: RoomClient | null
  meeting: RoomClient | null
  /** All that are open, on screen or not. */
  rooms: readonly RoomClient[]
}

/** What screens are told of the board in the browser, from its parts as they are. */
export function takeSnapshot({ kit, meeting, rooms, ...told }: SnapshotParts): SyncSnapshot {
  const shown = [kit, meeting].filter((r) => r !== null)
  const isThere = shown.some((r) => r.snapshot.connection === 'live')
  const isHere =
    shown.length === (told.meetingId === null ? 1 : 2) && shown.every((r) => r.snapshot.hasContent)
  return {
    ...told,
    kit: kit?.snapshot ?? null,
    generation: kit?.life ? generationOf(kit.life) : null,
    meeting: meeting?.snapshot ?? null,
    pending: rooms.reduce((sum, r) => sum + r.snapshot.pending, 0),
    online: shown.length > 0 && shown.every((r) => r.snapshot.connection === 'live'),
    fetching: isThere && !isHere,
  }
}
