import { createHash } from 'node:crypto'
import { exportDoc } from '@/lib/board'
import { parseRoomName } from '@/lib/sync/room-name'
import { readHistory, readPhotoRows } from '@/server/archive/read-rooms'
import { PhotoStore } from '@/server/photos/photo-store'
import { openDatabase } from '@/server/storage/open-database'
import { readRoomDoc } from '@/server/storage/read-room-doc'
import { SqliteStore } from '@/server/storage/sqlite-store'

/** What a data folder holds, as texts that are equal where it is. */
export interface BoardOnDisk {
  /** Values by room. */
  rooms: ReadonlyMap<string, string>
  /** Lines of history by room, without when they were written, in no order. */
  history: ReadonlyMap<string, string>
  /** Each with a hash of its bytes as they are read back. */
  photos: string
  /** Meetings that the kit knows, by their ids. */
  meetingsListed: readonly string[]
}

/** Beside a running server, too. */
export function boardOnDisk(dataFolder: string): BoardOnDisk {
  const client = openDatabase(dataFolder)
  try {
    const store = new SqliteStore(client)
    const photoStore = new PhotoStore(client, { now: () => Date.now() })
    const rooms = new Map<string, string>()
    const history = new Map<string, string>()
    const photos: string[] = []
    let meetingsListed: string[] = []
    for (const room of store.rooms()) {
      const name = parseRoomName(room)
      if (!name) continue
      const doc = readRoomDoc(store, room)
      const board = exportDoc(name.kind, doc)
      doc.destroy()
      const lines = Object.entries(board).flatMap(([collection, fields]) =>
        Object.entries(fields).map(([key, value]) => `${collection}/${key} ${JSON.stringify(value)}`),
      )
      rooms.set(room, lines.sort().join('\n'))
      history.set(room, historyOf(client, room))
      if (name.kind === 'kit')
        meetingsListed = [
          ...new Set(Object.keys(board['meetings'] ?? {}).map((key) => key.split(':')[0] ?? '')),
        ]
      else
        for (const { hash } of readPhotoRows(client, name.meetingId)) {
          const data = photoStore.get(name.meetingId, hash)?.data
          photos.push(`${room} ${hash} ${data ? createHash('sha256').update(data).digest('hex') : 'gone'}`)
        }
    }
    return { rooms, history, photos: photos.sort().join('\n'), meetingsListed }
  } finally {
    client.close()
  }
}

const historyOf = (client: ReturnType<typeof openDatabase>, room: string): string =>
  [...readHistory(client, room)]
    .flat()
    .map(({ at: _, ...line }) => JSON.stringify(line))
    .sort()
    .join('\n')
