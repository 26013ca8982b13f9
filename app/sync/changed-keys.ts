import type * as Y from 'yjs'
import { fieldKey } from './pending-keys'
import { parseKey } from '@/lib/board'

/** Which fields a transaction touched, as `collection|recordId:field`. */
export function changedKeys(doc: Y.Doc, transaction: Y.Transaction): string[] {
  const keys: string[] = []
  for (const [type, names] of transaction.changed) {
    const collection = [...doc.share].find(([, shared]) => shared === (type as unknown))?.[0]
    if (collection === undefined) continue
    for (const name of names) {
      const parts = name === null ? null : parseKey(name)
      if (parts) keys.push(fieldKey(collection, parts.recordId, parts.field))
    }
  }
  return keys
}

/** The parts of a pending key; null when it was not made by `fieldKey`. */
export function splitFieldKey(key: string): { collection: string; recordId: string; field: string } | null {
  const bar = key.indexOf('|')
  const parts = bar < 0 ? null : parseKey(key.slice(bar + 1))
  return parts && { collection: key.slice(0, bar), ...parts }
}
