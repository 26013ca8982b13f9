import * as Y from 'yjs'
import { COLLECTIONS, parseKey, readField, type DocKind } from '@/lib/board'
import { canonicalJson, type Json } from '@/lib/core/json'
import type { Rejection } from '@/lib/sync/states'
import { splitFieldKey } from './changed-keys'
import { knownRecords, referredTo } from './known-records'
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

/** The board as the server has it. */
export interface ServerBoard {
  /** The room's document; an empty one where the server does not have the room. */
  doc: Y.Doc
  /** The kit's, for what a meeting refers to; null for the kit itself, and where it is not known. */
  kit: Y.Doc | null
}

export interface MoveTerms {
  /** Which of the phone's own edits: the unsent ones alone, or those that it saw acknowledged too. */
  what: 'all' | 'unsent'
  /** Why unsent edits are told in every case instead of being made anew. */
  onlyTell?: string
  /** Why saved edits are told. */
  savedReason?: string
  /** Now, ms. */
  at: number
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
 * their writers' phones know them as theirs.
 */
export function planMove(kind: DocKind, held: HeldRoom, server: ServerBoard, terms: MoveTerms): MovePlan {
  const { what, at, onlyTell, savedReason = NOT_IN_BACKUP } = terms
  const plan: MovePlan = { writes: [], lost: [] }
  const pending = new Map(held.pending.map((t) => [t.key, t]))
  const isThere = existence(kind, held, server, pending)
  for (const collection of Object.keys(COLLECTIONS[kind])) {
    const map = held.doc.getMap<Json>(collection)
    for (const [key, item] of map._map) {
      const parts = item.deleted ? null : parseKey(key)
      if (!parts) continue
      const touch = pending.get(fieldKey(collection, parts.recordId, parts.field))
      // Written by others: either it lost against theirs, or it was never ours.
      if (held.own ? !held.own.has(item.id.client) : !touch) continue
      const value = map.get(key)
      const before = readField(server.doc, collection, parts.recordId, parts.field)
      if (value === undefined || isSame(value, before)) continue
      const path = { collection, ...parts }
      if (touch) {
        const isAsThen = touch.base ? isSame(touch.base.was, before) : before === undefined
        const isFree = isAsThen || isOwn(server.doc, collection, key, held.own)
        if (onlyTell !== undefined) plan.lost.push(told(path, value, before, onlyTell, at))
        else if (!isThere(path, value)) plan.lost.push(told(path, value, before, GONE, at))
        else if (isFree) plan.writes.push({ ...path, value, before })
        else plan.lost.push(told(path, value, before, CHANGED, at))
      } else if (what === 'all' && Y.getState(server.doc.store, item.id.client) <= item.id.clock)
        // The server has never seen it: otherwise it knows it, and somebody has changed it since.
        plan.lost.push(told(path, value, before, savedReason, at))
    }
  }
  return plan
}

const NOT_IN_BACKUP = 'It was saved. Then the board was restored from an older backup that does not have it.'
const CHANGED =
  'It was not sent yet when the board was restored from a backup, and the restored board has another value here.'
const GONE =
  'It was not sent yet when the board was restored from a backup, and the restored board does not have what it belongs to.'

const told = (path: FieldPath, attempted: Json, restored: Json | undefined, reason: string, at: number) =>
  ({ kind: 'lost', path, attempted, restored: restored ?? null, reason, at }) satisfies Rejection

function isOwn(doc: Y.Doc, collection: string, key: string, own: HeldRoom['own']): boolean {
  const item = doc.getMap(collection)._map.get(key)
  return item !== undefined && !item.deleted && own !== null && own.has(item.id.client)
}

/** Whether the server has what an edit belongs to: its record, unless that is made by unsent edits itself, and every record that it refers to. */
function existence(
  kind: DocKind,
  held: HeldRoom,
  server: ServerBoard,
  pending: ReadonlyMap<string, Touch>,
): (path: FieldPath, value: Json) => boolean {
  // A run is its entry's: by its own fields alone nothing is there that it belongs to.
  const made = [...pending.keys()].flatMap((key) => {
    const path = splitFieldKey(key)
    return path && path.collection !== 'runs' ? path.recordId : []
  })
  const documents = [
    { kind, doc: server.doc },
    ...(server.kit ? [{ kind: 'kit' as const, doc: server.kit }] : []),
  ]
  const known = knownRecords(documents, made)
  const isGone = goneRecords(held.doc, server.doc, pending)
  const mayLookUp = kind === 'kit' || server.kit !== null
  return ({ collection, recordId, field }, value) =>
    !isGone(collection, recordId) &&
    (!mayLookUp || referredTo(collection, recordId, field, value).every((id) => known.has(id)))
}

/** Tells a record that stood on the old board by more than unsent edits, and of which the server has nothing. */
function goneRecords(held: Y.Doc, server: Y.Doc, pending: ReadonlyMap<string, Touch>) {
  const cache = new Map<string, { there: Set<string>; stood: Set<string> }>()
  const recordsOf = (collection: string) => {
    let records = cache.get(collection)
    if (!records) {
      const id = (key: string) => parseKey(key)?.recordId ?? ''
      const stood = [...held.getMap(collection).keys()].filter((key) => !pending.has(`${collection}|${key}`))
      records = {
        there: new Set([...server.getMap(collection).keys()].map(id)),
        stood: new Set(stood.map(id)),
      }
      cache.set(collection, records)
    }
    return records
  }
  return (collection: string, recordId: string): boolean => {
    const { there, stood } = recordsOf(collection)
    return !there.has(recordId) && stood.has(recordId)
  }
}

/** Make the planned writes in a document. */
export function makeWrites(doc: Y.Doc, writes: MovePlan['writes'], origin: unknown): void {
  if (writes.length === 0) return
  doc.transact(() => {
    for (const w of writes) doc.getMap<Json>(w.collection).set(`${w.recordId}:${w.field}`, w.value)
  }, origin)
}
