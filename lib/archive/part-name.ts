import { PHOTO_HASH } from '../core/photo-limits'
import { formatRoomName, parseRoomName } from '../sync/room-name'

/** A part of an archive, by what it holds. */
export type Part =
  | { kind: 'manifest' | 'about' | 'columns' }
  /** A room's Yjs document as one update (v1 encoding), the same as readable JSON, and its history as lines of JSON. */
  | { kind: 'document' | 'board' | 'audit'; room: string }
  | { kind: 'list'; room: string; collection: string }
  /** Which photos a meeting has, as lines of JSON, and one of them. */
  | { kind: 'photos'; meetingId: string }
  | { kind: 'photo'; meetingId: string; hash: string }

const ROOM_FILES = {
  document: ['documents', 'yjs'],
  board: ['boards', 'json'],
  audit: ['audit', 'jsonl'],
} as const

export function partName(part: Part): string {
  switch (part.kind) {
    case 'manifest':
      return 'manifest.json'
    case 'about':
      return 'about.txt'
    case 'columns':
      return 'lists/columns.csv'
    case 'list':
      return `lists/${part.room}/${part.collection}.csv`
    case 'photos':
      return `photos/${part.meetingId}.jsonl`
    case 'photo':
      return `photos/${part.meetingId}/${part.hash}`
    default: {
      const [folder, ending] = ROOM_FILES[part.kind]
      return `${folder}/${part.room}.${ending}`
    }
  }
}

/** What a name says; null for any that no archive of ours holds. It is never used as the name of a file. */
export function parsePartName(name: string): Part | null {
  const part = looselyRead(name)
  // Every part has one name only: none that reads the same and is written otherwise.
  return part && partName(part) === name ? part : null
}

function looselyRead(name: string): Part | null {
  if (name.length > 240 || !/^[\w./-]+$/.test(name)) return null
  if (name === 'manifest.json') return { kind: 'manifest' }
  if (name === 'about.txt') return { kind: 'about' }
  if (name === 'lists/columns.csv') return { kind: 'columns' }
  const [folder, second = '', third = '', more] = name.split('/')
  if (more !== undefined) return null
  const stem = second.replace(/\.\w+$/, '')
  if (third === '') {
    if (folder === 'photos') return isMeeting(stem) ? { kind: 'photos', meetingId: stem } : null
    for (const kind of ['document', 'board', 'audit'] as const)
      if (folder === ROOM_FILES[kind][0] && isRoom(stem)) return { kind, room: stem }
    return null
  }
  if (folder === 'photos' && isMeeting(second) && PHOTO_HASH.test(third))
    return { kind: 'photo', meetingId: second, hash: third }
  const collection = third.replace(/\.csv$/, '')
  return folder === 'lists' && isRoom(second) && /^[a-zA-Z]{1,40}$/.test(collection)
    ? { kind: 'list', room: second, collection }
    : null
}

const isRoom = (text: string): boolean => {
  const room = parseRoomName(text)
  return room !== null && formatRoomName(room) === text
}
const isMeeting = (id: string): boolean => isRoom(formatRoomName({ kind: 'meeting', meetingId: id }))
