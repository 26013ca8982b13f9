import type { DBSchema, IDBPTransaction } from 'idb'
import * as Y from 'yjs'
import type { Draft, RoomContent, StoredRoomName, StoredUpdate } from './client-store'
import type { Life } from './life'
import type { Touch } from './pending-keys'

/** What the device's database looks like. */
export interface Schema extends DBSchema {
  updates: { key: number; value: Omit<StoredUpdate, 'id'> & { id?: number }; indexes: { room: string } }
  pending: { key: [string, string]; value: Touch & { room: string } }
  drafts: { key: string; value: Draft }
  facts: { key: string; value: unknown }
  own: { key: [string, number]; value: { room: string; clientId: number } }
}
export type Names = ('updates' | 'pending' | 'drafts' | 'facts' | 'own')[]
export type Tx = IDBPTransaction<Schema, Names, 'readwrite'>

export function applyStored(
  doc: Y.Doc,
  row: Pick<StoredUpdate, 'encoding' | 'update'>,
  origin: unknown,
): void {
  if (row.encoding === 2) Y.applyUpdateV2(doc, row.update, origin)
  else Y.applyUpdate(doc, row.update, origin)
}

/** All of a job or nothing: a step that fails without reaching the database would otherwise let the steps before it commit. */
export async function all(tx: Tx, steps: Promise<void>): Promise<void> {
  const done = tx.done.catch((e: unknown) => ({ failed: e }))
  try {
    await steps
  } catch (e) {
    try {
      tx.abort()
    } catch {
      // It has ended by itself already.
    }
    await done
    throw e
  }
  const end = await done
  if (end) throw end.failed
}

export const ROOM_STORES: Names = ['updates', 'pending', 'own', 'facts']
export const NOTHING: RoomContent = { updates: [], pending: [], life: null, own: [] }
export const lifeFact = (room: string): string => `life:${room}`

type ReadTx = IDBPTransaction<Schema, Names, 'readonly' | 'readwrite'>
export const lifeIn = async (tx: ReadTx, room: string): Promise<Life | null> =>
  ((await tx.objectStore('facts').get(lifeFact(room))) as Life | undefined) ?? null

export async function contentOf(tx: ReadTx, room: string): Promise<RoomContent> {
  const [updates, pending, own, life] = await Promise.all([
    tx.objectStore('updates').index('room').getAll(room),
    tx.objectStore('pending').getAll(roomRange(room)),
    tx.objectStore('own').getAll(roomRange(room)),
    lifeIn(tx, room),
  ])
  return {
    updates: updates.filter((u): u is StoredUpdate => u.id !== undefined),
    pending: pending.map(({ key, token, base }) => ({ key, token, base })),
    own: own.map((o) => o.clientId),
    life,
  }
}

/** Names, each once. */
export async function storedRooms(tx: ReadTx): Promise<string[]> {
  const names: string[] = []
  let at = await tx.objectStore('updates').index('room').openKeyCursor(null, 'nextunique')
  for (; at; at = await at.continue()) names.push(at.key)
  return names
}

export async function roomNamed(tx: ReadTx, room: string): Promise<StoredRoomName> {
  const [life, keys] = await Promise.all([
    lifeIn(tx, room),
    tx.objectStore('updates').index('room').getAllKeys(room),
  ])
  return { room, life, rows: keys.length, last: keys.at(-1) ?? 0 }
}

export async function rename(tx: Tx, from: string, to: string): Promise<void> {
  const { updates, pending, own, life } = await contentOf(tx, from)
  for (const row of updates) await tx.objectStore('updates').put({ ...row, room: to })
  for (const touch of pending) await tx.objectStore('pending').put({ ...touch, room: to })
  for (const clientId of own) await tx.objectStore('own').put({ clientId, room: to })
  if (life !== null) await tx.objectStore('facts').put(life, lifeFact(to))
  await tx.objectStore('pending').delete(roomRange(from))
  await tx.objectStore('own').delete(roomRange(from))
  await tx.objectStore('facts').delete(lifeFact(from))
}

export const roomRange = (room: string) => IDBKeyRange.bound([room], [room, []])
