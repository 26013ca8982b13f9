import type * as Y from 'yjs'
import {
  collectionNames,
  docOf,
  heatNameFirst,
  parseKey,
  readField,
  type BoardDocs,
  type DocKind,
} from '../board'
import type { Json } from '../core/json'
import type { NameOf } from './cell-text'

export type ListRecord = { id: string; values: Record<string, Json> }

/** A collection's records as they are stored, removed ones included; in order, then by id. */
export function listRecords(doc: Y.Doc, collection: string): ListRecord[] {
  const records = new Map<string, ListRecord>()
  for (const [key, value] of doc.getMap<Json>(collection).entries()) {
    const path = parseKey(key)
    if (!path || value === null) continue
    const record = records.get(path.recordId) ?? { id: path.recordId, values: {} }
    records.set(path.recordId, record)
    record.values[path.field] = value
  }
  const order = ({ values: { order: o } }: ListRecord) => (typeof o === 'number' ? o : 0)
  return [...records.values()].sort((a, b) => order(a) - order(b) || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0))
}

/** What a record is called; empty when it has no name. */
export function recordName(doc: Y.Doc, collection: string, recordId: string): string {
  const textOf = (field: string): string | undefined => {
    const value = readField(doc, collection, recordId, field)
    return typeof value === 'string' && value !== '' ? value : undefined
  }
  if (collection === 'heats') {
    const number = readField(doc, collection, recordId, 'number')
    const label = textOf('label')
    if (typeof number !== 'number') return label ?? ''
    return heatNameFirst({ number, label, isBreak: readField(doc, collection, recordId, 'isBreak') === true })
  }
  return textOf('name') ?? textOf('label') ?? textOf('driverName') ?? textOf('text') ?? ''
}

/** What records are called, looked up on both documents. */
export const namesOf =
  (docs: BoardDocs): NameOf =>
  (collection, recordId) => {
    const kind: DocKind = collectionNames('kit').includes(collection) ? 'kit' : 'meeting'
    const doc = docOf(docs, kind)
    return doc ? recordName(doc, collection, recordId) : ''
  }
