import type * as Y from 'yjs'
import { COLLECTIONS, fieldDef, readField, showJson, splitId, type DocKind } from '@/lib/board'
import { splitFieldKey } from './changed-keys'

interface FieldPath {
  collection: string
  recordId: string
  field: string
}
interface UnsentRoom {
  readonly room: string
  readonly doc: Y.Doc
  pendingKeys(): string[]
}

/** What is only on this phone, one line per field, in words that can be copied, sent by any other way and typed in again. */
export function unsentText(room: UnsentRoom): string[] {
  return room.pendingKeys().map((key) => fieldText(room, key))
}

/** `Card value rook, pinion, Assigned: 23` */
export function fieldText({ room, doc }: Pick<UnsentRoom, 'room' | 'doc'>, key: string): string {
  const parts = splitFieldKey(key)
  if (!parts) return key
  const { collection, recordId, field } = parts
  const value = readField(doc, collection, recordId, field)
  return valueText(room, parts, recordLabel(doc, collection, recordId), value)
}

/** One value of a room in words; `label` names its record where more than the id is known. */
export function valueText(
  room: string,
  { collection, recordId, field }: FieldPath,
  label: string | null,
  value: Parameters<typeof showJson>[0],
): string {
  const kind: DocKind = room === 'kit' ? 'kit' : 'meeting'
  const def = fieldDef(kind, collection, field)
  const name = (COLLECTIONS[kind] as Record<string, { label: string }>)[collection]?.label ?? collection
  return `${name} ${label ?? idLabel(recordId)}, ${def?.label ?? field}: ${showJson(value) || 'emptied'}${def?.unit ? ` ${def.unit}` : ''}`
}

/** A record by the name it carries, else by its id; composite ids keep their tail, which says which value it is. */
function recordLabel(doc: Y.Doc, collection: string, recordId: string): string {
  for (const field of ['name', 'label', 'text', 'driverName', 'number'])
    if (readField(doc, collection, recordId, field) !== undefined)
      return showJson(readField(doc, collection, recordId, field))
  return idLabel(recordId)
}

function idLabel(recordId: string): string {
  const [head, tail] = recordId.includes('.') ? splitId(recordId) : [recordId, '']
  return tail ? `${head}, ${tail}` : head
}
