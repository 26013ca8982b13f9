import type * as Y from 'yjs'
import type { Json } from '../core/json'
import { collectionNames, type DocKind } from './collections'
import { formatKey } from './flat-key'

/** The only place that touches Yjs types: reading and writing flat keys. */
export const readField = (
  doc: Y.Doc,
  collection: string,
  recordId: string,
  field: string,
): Json | undefined => doc.getMap<Json>(collection).get(formatKey(recordId, field))

export function writeField(
  doc: Y.Doc,
  collection: string,
  recordId: string,
  field: string,
  value: Json,
): void {
  doc.getMap<Json>(collection).set(formatKey(recordId, field), value)
}

/** Every collection as plain JSON with sorted keys, for export and comparison. */
export function exportDoc(kind: DocKind, doc: Y.Doc): Record<string, Record<string, Json>> {
  const out: Record<string, Record<string, Json>> = {}
  for (const name of collectionNames(kind)) {
    const map = doc.getMap<Json>(name)
    if (map.size === 0) continue
    out[name] = Object.fromEntries([...map.entries()].sort(([a], [b]) => (a < b ? -1 : 1)))
  }
  return out
}

export interface BoardDocs {
  kit: Y.Doc
  /** Null outside a meeting. */
  meeting: Y.Doc | null
}

export const docOf = (docs: BoardDocs, kind: DocKind): Y.Doc | null =>
  kind === 'kit' ? docs.kit : docs.meeting
