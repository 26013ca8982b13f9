import * as Y from 'yjs'
import type { Json } from '@/lib/core/json'
import type { GuardRules } from './guard-rules'
import { isPlainJson } from './plain-json'
import type { RoomDoc, RootType } from './room-doc'
import type { VettedUpdate } from './vet-update'

/** One flat key that an update touched. */
export interface Change {
  type: RootType
  /** Null when list content was put where only keys belong. */
  key: string | null
  collection: string
  /** The board has this collection. */
  known: boolean
  /** Null when the key was not made by the board. */
  path: { collection: string; recordId: string; field: string } | null
  before: Json | undefined
  /** What the author wanted there; undefined: nothing (a structural deletion). */
  after: Json | undefined
  /** `after` is a plain value; otherwise it is left undefined. */
  plain: boolean
  /** The document still shows `before`: a concurrent edit won. */
  lost: boolean
  /** Who wrote the item that stands there now; null for none. */
  winner: number | null
}

const VALUE_DEPTH = 32 // vetting has the tighter limit; this one only ends the recursion

/**
 * What an update that was just integrated did to each key. `tr.changed` must have been empty before.
 * `update` null: the server's own edit, in which whatever stands now is what was wanted.
 */
export function collectChanges(
  tr: Y.Transaction,
  board: RoomDoc,
  rules: GuardRules,
  update: VettedUpdate | null,
): Change[] {
  const attempts = update ? attemptsOf(update) : null
  const changes: Change[] = []
  for (const [type, keys] of tr.changed) {
    if (type._item !== null) {
      // No nested type ever stays, so none can have changed; were there one, it goes.
      type._item.delete(tr)
      continue
    }
    const { name: collection, known } = board.nameOf(type)
    for (const key of keys) {
      const change = changeOf(type, key, collection, known, board, rules, attempts)
      if (change) changes.push(change)
    }
  }
  return changes
}

interface Attempts {
  fresh: Set<Y.Item>
  /** The last value the update holds for each key. */
  last: Map<RootType, Map<string, Y.Item>>
}

function attemptsOf(update: VettedUpdate): Attempts {
  const fresh = new Set<Y.Item>()
  const last: Attempts['last'] = new Map()
  for (const s of update.structs) {
    if (!(s instanceof Y.Item)) continue
    fresh.add(s)
    const { parent, parentSub } = s
    if (parentSub === null || !parent || parent instanceof Y.ID || s.content instanceof Y.ContentDeleted)
      continue
    if (s.deleted && Y.isDeleted(update.deletes, s.id)) continue // the author took it back
    let ofType = last.get(parent)
    if (!ofType) last.set(parent, (ofType = new Map()))
    ofType.set(parentSub, s)
  }
  return { fresh, last }
}

function changeOf(
  type: RootType,
  key: string | null,
  collection: string,
  known: boolean,
  board: RoomDoc,
  rules: GuardRules,
  attempts: Attempts | null,
): Change | null {
  if (key === null) {
    if (type._first === null) return null
    const nothing = { path: null, before: undefined, after: undefined }
    return { type, key, collection, known, ...nothing, plain: false, lost: false, winner: null }
  }
  const top = type._map.get(key)
  const live = top && !top.deleted ? top : undefined
  const before = known ? board.read(collection, key) : undefined
  // Nothing stands here any more, yet there was a value: whatever else the update wanted, it deleted.
  const deleted = !live && before !== undefined
  const attempt = live && isFresh(live, attempts) ? live : attempts?.last.get(type)?.get(key)
  const wanted = deleted ? undefined : attempt
  // Nothing was wanted and nothing happened: a deletion that everybody knew, or a value its author had already replaced.
  if (!wanted && !deleted) return null
  const parsed = rules.parseKey(key)
  const value = wanted ? valueOf(wanted) : { plain: true, value: undefined }
  return {
    type,
    key,
    collection,
    known,
    path: parsed && { collection, recordId: parsed.recordId, field: parsed.field },
    before,
    after: value.value,
    plain: value.plain,
    lost: wanted !== undefined && wanted !== live,
    winner: live?.id.client ?? null,
  }
}

const isFresh = (item: Y.Item, attempts: Attempts | null): boolean =>
  attempts === null || attempts.fresh.has(item)

/** An item's value, and whether it is a plain one. */
export function valueOf(item: Y.Item): { plain: boolean; value: Json | undefined } {
  const { content } = item
  if (!(content instanceof Y.ContentAny) || content.arr.length !== 1)
    return { plain: false, value: undefined }
  const value: unknown = content.arr[0]
  return isPlainJson(value, VALUE_DEPTH) ? { plain: true, value } : { plain: false, value: undefined }
}
