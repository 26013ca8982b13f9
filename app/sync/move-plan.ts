import * as Y from 'yjs'
import { COLLECTIONS, parseKey, readField, type DocKind } from '@/lib/board'
import { canonicalJson, type Json } from '@/lib/core/json'
import type { Rejection } from '@/lib/sync/states'
import { fieldKey, type Touch } from './pending-keys'

export interface FieldPath {
  collection: string
  recordId: string
  field: string
}

/** What a phone holds of a room of another generation. */
export interface HeldRoom {
  doc: Y.Doc
  /** Edits that were never acknowledged. */
  pending: readonly Touch[]
  /** clientIDs of this device; null where an earlier version of this app did not note them. */
  own: ReadonlySet<number> | null
}

export interface MovePlan {
  /** Unsent edits that can be made anew, each with what the server's document has there. */
  writes: (FieldPath & { value: Json; before: Json | undefined })[]
  /** What must be told instead. */
  lost: Rejection[]
}

const isSame = (a: Json | undefined, b: Json | undefined): boolean =>
  a === undefined || b === undefined ? a === b : canonicalJson(a) === canonicalJson(b)

/**
 * [S23] What becomes of a phone's own edits when the server's document takes the place of what it holds. Nobody else's edits are looked at:
 * their writers' phones know them as theirs. `what`: unsent edits alone, or saved ones too. `at`: now, ms.
 */
export function planMove(
  kind: DocKind,
  held: HeldRoom,
  server: Y.Doc,
  what: 'all' | 'unsent',
  at: number,
): MovePlan {
  const plan: MovePlan = { writes: [], lost: [] }
  const pending = new Map(held.pending.map((t) => [t.key, t]))
  for (const collection of Object.keys(COLLECTIONS[kind])) {
    const map = held.doc.getMap<Json>(collection)
    for (const [key, item] of map._map) {
      const parts = item.deleted ? null : parseKey(key)
      if (!parts) continue
      const touch = pending.get(fieldKey(collection, parts.recordId, parts.field))
      // Written by others: either it lost against theirs, or it was never ours.
      if (held.own ? !held.own.has(item.id.client) : !touch) continue
      const value = map.get(key)
      const before = readField(server, collection, parts.recordId, parts.field)
      if (value === undefined || isSame(value, before)) continue
      const path = { collection, ...parts }
      if (touch) {
        const isAsThen = touch.base ? isSame(touch.base.was, before) : before === undefined
        const isStillThere = !isGone(
          map,
          server.getMap<Json>(collection),
          parts.recordId,
          pending,
          collection,
        )
        if ((isAsThen || isOwn(server, collection, key, held.own)) && isStillThere)
          plan.writes.push({ ...path, value, before })
        else plan.lost.push(told(path, value, before, isStillThere ? CHANGED : GONE, at))
      } else if (what === 'all' && Y.getState(server.store, item.id.client) <= item.id.clock)
        // The server has never seen it: otherwise it knows it, and somebody has changed it since.
        plan.lost.push(told(path, value, before, NOT_IN_BACKUP, at))
    }
  }
  return plan
}

const NOT_IN_BACKUP =
  'It was saved. Then the board was restored from an earlier backup, which does not have it.'
const CHANGED =
  'It had not been sent when the board was restored from a backup, and the restored board has another value here.'
const GONE =
  'It had not been sent when the board was restored from a backup, and the restored board does not have what it belongs to.'

const told = (path: FieldPath, attempted: Json, restored: Json | undefined, reason: string, at: number) =>
  ({ kind: 'lost', path, attempted, restored: restored ?? null, reason, at }) satisfies Rejection

function isOwn(doc: Y.Doc, collection: string, key: string, own: HeldRoom['own']): boolean {
  const item = doc.getMap(collection)._map.get(key)
  return item !== undefined && !item.deleted && own !== null && own.has(item.id.client)
}

/** The record stood on the old board by more than unsent edits, and the server has nothing of it. */
function isGone(
  held: Y.Map<Json>,
  server: Y.Map<Json>,
  recordId: string,
  pending: ReadonlyMap<string, Touch>,
  collection: string,
): boolean {
  const isOf = (key: string) => parseKey(key)?.recordId === recordId
  for (const key of server.keys()) if (isOf(key)) return false
  for (const key of held.keys()) if (isOf(key) && !pending.has(`${collection}|${key}`)) return true
  return false
}

/** Make the planned writes in a document. */
export function makeWrites(doc: Y.Doc, writes: MovePlan['writes'], origin: unknown): void {
  if (writes.length === 0) return
  doc.transact(() => {
    for (const w of writes) doc.getMap<Json>(w.collection).set(`${w.recordId}:${w.field}`, w.value)
  }, origin)
}
