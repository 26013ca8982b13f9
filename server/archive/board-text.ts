import * as Y from 'yjs'
import { exportDoc, isMeeting, parseKey, readField, writeField, type DocKind } from '@/lib/board'
import type { Json } from '@/lib/core/json'

/** A board as people and other programs read it: collection, record, field. Equal documents give equal text. */
export function boardText(kind: DocKind, doc: Y.Doc): string {
  const collections: Record<string, Record<string, Record<string, Json>>> = {}
  for (const [collection, fields] of Object.entries(exportDoc(kind, doc))) {
    const records: Record<string, Record<string, Json>> = (collections[collection] = {})
    for (const [key, value] of Object.entries(fields)) {
      const path = parseKey(key)
      if (path) (records[path.recordId] ??= {})[path.field] = value
    }
  }
  return `${JSON.stringify(collections, null, 1)}\n`
}

/** The kit as one meeting needs it: without the other meetings of its list. */
export function kitOfMeeting(kit: Y.Doc, meetingId: string): Y.Doc {
  const cut = new Y.Doc()
  // Always the same, so that the same kit gives the same bytes.
  cut.clientID = 1
  cut.transact(() => {
    for (const [collection, fields] of Object.entries(exportDoc('kit', kit)))
      for (const [key, value] of Object.entries(fields)) {
        const path = parseKey(key)
        if (!path || (collection === 'meetings' && path.recordId !== meetingId)) continue
        writeField(cut, collection, path.recordId, path.field, value)
      }
  })
  return cut
}

/** Names of the photos that a meeting's board shows, with their thumbnails; `removed`: of those that it has shown too. */
export function photosNamed(meeting: Y.Doc, { removed = true } = {}): Set<string> {
  const named = new Set<string>()
  for (const key of meeting.getMap('photos').keys()) {
    const path = parseKey(key)
    if (path?.field !== 'picture') continue
    if (!removed && readField(meeting, 'photos', path.recordId, 'removed') === true) continue
    const picture = readField(meeting, 'photos', path.recordId, 'picture')
    const facts = typeof picture === 'object' && picture !== null && 'v' in picture ? picture['v'] : null
    if (typeof facts !== 'object' || facts === null || Array.isArray(facts)) continue
    for (const name of [facts['hash'], facts['thumb']]) if (typeof name === 'string') named.add(name)
  }
  return named
}

/** Whether a kit has a meeting. No archive holds one that its kit does not know: nobody could open it. */
export const knowsMeeting = (kit: Y.Doc, meetingId: string): boolean =>
  isMeeting({ field: (_, ...path) => readField(kit, ...path) }, meetingId)
