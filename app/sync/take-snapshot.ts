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
  /** The server is being asked who we are: the first lines wait for its answer. */
  isFirstAsk: boolean
}

/** What screens are told of the board in the browser, from its parts as they are. */
export function takeSnapshot({ kit, meeting, rooms, isFirstAsk, ...told }: SnapshotParts): SyncSnapshot {
  // What neither the server nor this device knows is no part of the page: nothing of it is waited for.
  const shown = [kit, meeting]
    .filter((r) => r !== null)
    .filter(({ snapshot }) => snapshot.hasContent || !snapshot.isUnknown)
  const isThere = shown.some((r) => r.snapshot.connection === 'live')
  const isOpen = kit !== null && (told.meetingId === null || meeting !== null)
  const isHere = isOpen && shown.every((r) => r.snapshot.hasContent)
  return {
    ...told,
    kit: roomSnapshot(kit, isFirstAsk),
    generation: kit?.life ? generationOf(kit.life) : null,
    meeting: roomSnapshot(meeting, isFirstAsk),
    pending: rooms.reduce((sum, r) => sum + r.snapshot.pending, 0),
    online: shown.length > 0 && shown.every((r) => r.snapshot.connection === 'live'),
    fetching: isThere && !isHere,
  }
}

/** What is not connected yet because the server was asked first is on its way, not offline. */
const roomSnapshot = (room: RoomClient | null, isFirstAsk: boolean): RoomSnapshot | null =>
  room && isFirstAsk ? { ...room.snapshot, connection: 'connecting' } : (room?.snapshot ?? null)
