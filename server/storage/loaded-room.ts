import { DatabaseError } from '@/drizzle/database-error'
import { rowChecksum } from '@/drizzle/row-checksum'
import type { authors, snapshots, updates } from '@/drizzle/schema'
import type { LoadedRoom } from './store'

interface RoomRows {
  snapshot: typeof snapshots.$inferSelect | undefined
  /** Oldest first. */
  updates: readonly (typeof updates.$inferSelect)[]
  authors: readonly (typeof authors.$inferSelect)[]
}

/** A room as its rows say it, each checked. @throws DatabaseError `damaged` where one is not as it was written */
export function loadedRoom(room: string, roomId: number, rows: RoomRows): LoadedRoom {
  const { snapshot } = rows
  if (snapshot && snapshot.checksum !== rowChecksum([roomId, snapshot.data]))
    throw new DatabaseError('damaged', `snapshot of ${room}`)
  for (const u of rows.updates)
    if (u.checksum !== rowChecksum([roomId, u.at, u.data]))
      throw new DatabaseError('damaged', `update ${u.seq} of ${room}`)
  return {
    snapshot: snapshot ? asBytes(snapshot.data) : null,
    updates: rows.updates.map((u) => asBytes(u.data)),
    authors: new Map(rows.authors.map((a) => [a.clientId, a.personId])),
  }
}

export const emptyRoom = (): LoadedRoom => ({ snapshot: null, updates: [], authors: new Map() })

export const copyOfRoom = ({ snapshot, updates: list, authors: of }: LoadedRoom): LoadedRoom => ({
  snapshot: snapshot?.slice() ?? null,
  updates: list.map((u) => u.slice()),
  authors: new Map(of),
})

// Databases hand out Node Buffers; callers were promised plain Uint8Arrays (a Buffer compares and slices differently).
const asBytes = (b: Uint8Array): Uint8Array => new Uint8Array(b.buffer, b.byteOffset, b.byteLength)
