import * as Y from 'yjs'
import { parseKey } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { fieldKey } from './pending-keys'

/**
 * What stood in each field before a transaction that has just ended, as `collection|recordId:field`. Only in time before Yjs forgets what
 * was overwritten, which it does before it tells of the update.
 */
export function baseValues(doc: Y.Doc, transaction: Y.Transaction): Map<string, Json | undefined> {
  const bases = new Map<string, Json | undefined>()
  for (const [type, names] of transaction.changed) {
    const collection = [...doc.share].find(([, shared]) => shared === (type as unknown))?.[0]
    if (collection === undefined) continue
    for (const name of names) {
      const parts = name === null ? null : parseKey(name)
      let item = name === null ? null : (type._map.get(name) ?? null)
      while (item && item.id.clock >= (transaction.beforeState.get(item.id.client) ?? 0)) item = item.left
      if (parts) bases.set(fieldKey(collection, parts.recordId, parts.field), valueOf(item, transaction))
    }
  }
  return bases
}

function valueOf(item: Y.Item | null, transaction: Y.Transaction): Json | undefined {
  if (!item || (item.deleted && !Y.isDeleted(transaction.deleteSet, item.id))) return undefined
  const { content } = item
  return content instanceof Y.ContentAny ? (content.arr.at(-1) as Json | undefined) : undefined
}
