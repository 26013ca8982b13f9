import * as Y from 'yjs'
import type { Copy, MovedRoom, RoomContent } from './client-store'
import { applyStored, contentOf, lifeFact, lifeIn, roomRange, type Tx } from './idb-rows'
import type { Life } from './life'
import type { Touch } from './pending-keys'

/** A room is folded into one row beyond this many rows. */
export const COMPACT_ROWS = 64

export interface Appended {
  room: string
  update: Uint8Array
  touches: readonly Touch[]
  copy: Copy | undefined
}

/** An update, and what of it is not on the server yet. */
export async function appendRow(tx: Tx, { room, update, touches, copy }: Appended): Promise<void> {
  const stored = await lifeIn(tx, room)
  // Another tab has begun another life: this one learns it by the ring, and sees to its edits itself.
  if (copy?.life && stored !== null && stored !== copy.life) return
  if (copy?.life && stored === null) await tx.objectStore('facts').put(copy.life, lifeFact(room))
  await tx.objectStore('updates').add({ room, encoding: 1, update, local: touches.length > 0 })
  for (const touch of touches) await tx.objectStore('pending').put({ room, ...touch })
  if (copy && touches.length > 0) await tx.objectStore('own').put({ room, clientId: copy.clientId })
}

/** The room begins another life, or goes on in a fresh copy, as planned from what is stored; nothing where another tab was first. */
export async function moveRoom(
  tx: Tx,
  room: string,
  from: Life | null,
  life: Life | null,
  plan: (stored: RoomContent) => MovedRoom,
): Promise<void> {
  const stored = await contentOf(tx, room)
  if (stored.life !== from) return
  const moved = plan(stored)
  const [updates, pending, own] = [
    tx.objectStore('updates'),
    tx.objectStore('pending'),
    tx.objectStore('own'),
  ]
  for (const { id } of stored.updates) await updates.delete(id)
  await pending.delete(roomRange(room))
  await own.delete(roomRange(room))
  const { update } = moved
  if (update) await updates.add({ room, encoding: 2, update, local: moved.pending.length > 0 })
  for (const touch of moved.pending) await pending.put({ room, ...touch })
  for (const clientId of moved.own) await own.put({ room, clientId })
  for (const draft of moved.drafts) await tx.objectStore('drafts').put(draft)
  if (life === null) await tx.objectStore('facts').delete(lifeFact(room))
  else await tx.objectStore('facts').put(life, lifeFact(room))
}

/** The server has these: their marks go, unless the field was changed again since. */
export async function settleKeys(tx: Tx, room: string, touches: readonly Touch[]): Promise<void> {
  const pending = tx.objectStore('pending')
  for (const { key, token } of touches)
    if ((await pending.get([room, key]))?.token === token) await pending.delete([room, key])
}

export async function compactRoom(tx: Tx, room: string): Promise<void> {
  const updates = tx.objectStore('updates')
  const rows = await updates.index('room').getAll(room)
  if (rows.length <= COMPACT_ROWS) return
  const local = (await tx.objectStore('pending').count(roomRange(room))) > 0
  // A document, not a merge of updates: only a document forgets what was overwritten.
  const doc = new Y.Doc()
  for (const row of rows) applyStored(doc, row, 'fold')
  const update = Y.encodeStateAsUpdateV2(doc)
  doc.destroy()
  for (const row of rows) if (row.id !== undefined) await updates.delete(row.id)
  await updates.add({ room, encoding: 2, update, local })
}
