import * as Y from 'yjs'
import type { Json } from '@/lib/core/json'
import { valueOf } from './collect-changes'
import type { Author, GuardParts } from './guard'
import type { BoardReader } from './guard-rules'
import type { RoomDoc } from './room-doc'
import { touchedKeys } from './touched-keys'
import type { VettedUpdate } from './vet-update'

/** [S4] So long an update waits for what it rests on, ms: a page's other socket may be a reconnection behind. */
export const EARLY_MS = 2_000
/** How often it is looked whether that has come, ms. */
export const EARLY_LOOK_MS = 50

/**
 * [S4] Whether an update says that it rests on more than this board has, even with all that comes along in it. What a page changed in the kit goes over
 * a socket of its own, so an accept may be here before the edit that its author saw when accepting.
 */
export function comesEarly(
  update: VettedUpdate,
  board: RoomDoc,
  { role }: Author,
  { rules, kind, reader }: Pick<GuardParts, 'rules' | 'kind' | 'reader'>,
): boolean {
  const { early, hasGrant, parseKey } = rules
  if (early?.doc !== kind || (hasGrant && !hasGrant(role, kind, early.collection, early.field))) return false
  // Most updates hold nothing of the kind: that is seen without finding out where each part belongs.
  if (!update.structs.some((s) => s instanceof Y.Item && early.isOne(lastOf(s)))) return false
  const wishes = new Map<string, Json | undefined>()
  const resting: { recordId: string; after: Json }[] = []
  for (const touched of touchedKeys(update, board)) {
    if (!touched) continue
    const { collection, key, item, deletes } = touched
    if (item) {
      const { value } = valueOf(item)
      wishes.set(`${collection}/${key}`, value)
      const path = collection === early.collection ? parseKey(key) : null
      if (path?.field === early.field && value !== undefined)
        resting.push({ recordId: path.recordId, after: value })
    } else if (deletes && !wishes.has(`${collection}/${key}`)) wishes.set(`${collection}/${key}`, undefined)
  }
  const read: BoardReader = {
    field: (doc, collection, recordId, field) => {
      const name = `${collection}/${recordId}:${field}`
      return doc === kind && wishes.has(name)
        ? wishes.get(name)
        : reader.field(doc, collection, recordId, field)
    },
    ids: (doc, collection) => reader.ids(doc, collection),
  }
  return resting.some(({ recordId, after }) => early.isEarly(read, recordId, after))
}

const lastOf = ({ content }: Y.Item): unknown =>
  content instanceof Y.ContentAny ? content.arr.at(-1) : undefined
