import * as Y from 'yjs'
import { exportDoc } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { parseRoomName } from '@/lib/sync/room-name'
import type { Store } from './store'

/** A room's document as stored. @throws when an update does not decode or rests on one that is missing. */
export function readRoomDoc(store: Store, room: string): Y.Doc {
  const { snapshot, updates } = store.load(room)
  const doc = new Y.Doc()
  if (snapshot) Y.applyUpdateV2(doc, snapshot)
  for (const update of updates) Y.applyUpdate(doc, update)
  if (doc.store.pendingStructs || doc.store.pendingDs)
    throw new Error(`${room} rests on updates that are missing`)
  return doc
}

/** All collections of a room as plain JSON. */
export function exportRoom(store: Store, room: string): Record<string, Record<string, Json>> {
  const kind = parseRoomName(room)?.kind
  if (!kind) throw new RangeError(`${room} is no room`)
  return exportDoc(kind, readRoomDoc(store, room))
}
