import type * as Y from 'yjs'
import { COLLECTIONS, parseKey, splitId, type DocKind } from '@/lib/board'
import { isNewId } from '@/lib/core/id'
import type { Json } from '@/lib/core/json'

/** Ids of the records that documents have, and of those that are about to be written. */
export function knownRecords(
  docs: readonly { kind: DocKind; doc: Y.Doc }[],
  also: Iterable<string>,
): ReadonlySet<string> {
  const known = new Set(also)
  for (const { kind, doc } of docs)
    for (const collection of Object.keys(COLLECTIONS[kind]))
      for (const key of doc.getMap(collection).keys()) {
        const id = parseKey(key)?.recordId
        if (id !== undefined) known.add(id)
      }
  return known
}

/** Fields beside those named `...Id` whose value is a record's id, or `kind:id`. */
const REFERRING = new Set(['packIn', 'tiresOn', 'about'])
/** It tells where something came from; what it is about is the meeting itself. */
const NOT_REFERRING = new Set(['copiedFrom'])

/** Ids of the records that a field's value means nothing without. Only ids as the board makes them: those of the starter kit are everywhere. */
export function referredTo(collection: string, recordId: string, field: string, value: Json): string[] {
  const ids = recordId.includes('.') ? splitId(recordId) : collection === 'runs' ? [recordId] : []
  if ((field.endsWith('Id') || REFERRING.has(field)) && !NOT_REFERRING.has(field)) {
    const plain =
      value !== null && typeof value === 'object' && !Array.isArray(value) && 'v' in value
        ? value['v']
        : value
    if (typeof plain === 'string') ids.push(plain.slice(plain.indexOf(':') + 1))
  }
  return ids.map((id) => id.slice(id.lastIndexOf('.') + 1)).filter(isNewId)
}
