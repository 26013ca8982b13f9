import type * as Y from 'yjs'
import { formatKey, parseKey, type BoardReader, type DocKind } from '@/lib/board'
import type { Json } from '@/lib/core/json'

/** Two documents, read field by field as a server does in the middle of an update. */
export const readDocs = (docs: Record<DocKind, Y.Doc>): BoardReader => ({
  field: (doc, collection, recordId, field) =>
    docs[doc].getMap<Json>(collection).get(formatKey(recordId, field)),
  ids: (doc, collection) =>
    new Set([...docs[doc].getMap(collection).keys()].flatMap((key) => parseKey(key)?.recordId ?? [])),
})
