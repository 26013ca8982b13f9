import * as Y from 'yjs'
import { checkField, collectionNames, parseKey, type DocKind } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { ok, refusalText, type Result } from '@/lib/core/result'
import { isPlainJson } from '../sync/plain-json'
import { refuseArchive } from './open-archive'

const DEPTH = 32

/**
 * A board's document out of an archive. Only values count: every collection, key and value must be one that this version could have written
 * itself. What else a Yjs document can hold is refused, so that nothing of it ever comes near the board. In v1 encoding each part of a document
 * takes at least a byte; a small file can't claim to hold a large one.
 */
export function readDocument(kind: DocKind, bytes: Uint8Array, name: string): Result<Y.Doc> {
  const doc = new Y.Doc()
  try {
    Y.applyUpdate(doc, bytes)
  } catch {
    return refuseArchive('it has a board that can’t be read', name)
  }
  if (doc.store.pendingStructs || doc.store.pendingDs)
    return refuseArchive('it has a board with parts missing', name)
  const collections = new Set(collectionNames(kind))
  for (const collection of doc.share.keys())
    if (!collections.has(collection))
      return refuseArchive(`it has a list that this version does not know (${collection.slice(0, 40)})`, name)
  for (const collection of collections) {
    const map = doc.getMap<unknown>(collection)
    if (map._start !== null)
      return refuseArchive(`it has a board whose ${collection} are no list of records`, name)
    for (const [key, value] of map.entries()) {
      const fits = checkValue(kind, collection, key, value, name)
      if (!fits.ok) return fits
    }
  }
  return ok(doc)
}

function checkValue(
  kind: DocKind,
  collection: string,
  key: string,
  value: unknown,
  name: string,
): Result<void> {
  const path = parseKey(key)
  if (!path || !isPlainJson(value, DEPTH))
    return refuseArchive(`it has a value that no board holds (${collection}, ${key.slice(0, 60)})`, name)
  const fits = checkField(kind, collection, path.field, value)
  return fits.ok
    ? ok(undefined)
    : refuseArchive(`${path.recordId} in ${collection}: ${refusalText(fits.error)}`, name)
}

/** The values of a document, by collection and key. */
export function* valuesOf(
  kind: DocKind,
  doc: Y.Doc,
): Generator<{ collection: string; recordId: string; field: string; value: Json }> {
  for (const collection of collectionNames(kind))
    for (const [key, value] of doc.getMap<Json>(collection).entries()) {
      const path = parseKey(key)
      if (path) yield { collection, ...path, value }
    }
}
