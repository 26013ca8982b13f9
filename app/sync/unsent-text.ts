import type * as Y from 'yjs'
import { COLLECTIONS, fieldDef, readField, showJson, splitId, type DocKind } from '@/lib/board'
import { splitFieldKey } from './changed-keys'

interface UnsentRoom {
  readonly room: string
  readonly doc: Y.Doc
  pendingKeys(): string[]
}

/** What is only on this phone, one line per field, in words that can be copied, sent by any other way and typed in again. */
export function unsentText(room: UnsentRoom): string[] {
  return room.pendingKeys().map((key) => fieldText(room, key))
}

/** `Card value rook.pinion, Assigned: 23` */
export function fieldText({ room, doc }: Pick<UnsentRoom, 'room' | 'doc'>, key: string): string {
  const parts = splitFieldKey(key)
  if (!parts) return key
  const kind: DocKind = room === 'kit' ? 'kit' : 'meeting'
  const { collection, recordId, field } = parts
  const def = fieldDef(kind, collection, field)
  const name = (COLLECTIONS[kind] as Record<string, { label: string }>)[collection]?.label ?? collection
  const value = readField(doc, collection, recordId, field)
  return `${name} ${recordLabel(doc, collection, recordId)}, ${def?.label ?? field}: ${showJson(value) || 'emptied'}${def?.unit ? ` ${def.unit}` : ''}`
}

/** A record by the name it carries, else by its id; composite ids keep their tail, which says which value it is. */
function recordLabel(doc: Y.Doc, collection: string, recordId: string): string {
  for (const field of ['name', 'label', 'text', 'driverName', 'number'])
    if (readField(doc, collection, recordId, field) !== undefined)
      return showJson(readField(doc, collection, recordId, field))
  const [head, tail] = recordId.includes('.') ? splitId(recordId) : [recordId, '']
  return tail ? `${head}, ${tail}` : head
}
