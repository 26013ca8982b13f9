import type * as Y from 'yjs'
import { readField } from '@/lib/board'
import { splitFieldKey } from './changed-keys'
import { fieldWords } from './field-words'

interface UnsentRoom {
  readonly room: string
  readonly doc: Y.Doc
  pendingKeys(): string[]
}

/**
 * What is only on this phone, one line per field, in words that can be copied, sent by any other way and typed in again. `kit`: where it is
 * open, for the names of what is in it.
 */
export function unsentText(room: UnsentRoom, kit: Y.Doc | null = null): string[] {
  return room.pendingKeys().flatMap((key) => {
    const path = splitFieldKey(key)
    if (!path) return []
    const from = { room: room.room, doc: room.doc, kit: room.room === 'kit' ? room.doc : kit }
    return [fieldWords(from, path, readField(room.doc, path.collection, path.recordId, path.field))]
  })
}
